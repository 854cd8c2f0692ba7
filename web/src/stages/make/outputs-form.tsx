import type { Output } from "../../api/document";
import { useDocument, useProblem, useSection } from "../../case/case-context";
import { Block } from "../../components/block";

const OUTPUTS: readonly {
  readonly output: Output;
  readonly name: string;
  readonly use: string;
}[] = [
  { output: "socket_3mf", name: "Socket, 3MF", use: "to print or mill; carries its unit" },
  { output: "socket_stl", name: "Socket, STL", use: "the same for programs without 3MF, in mm" },
  {
    output: "positive_3mf",
    name: "Positive model, 3MF",
    use: "to drape or laminate over; carries its unit",
  },
  {
    output: "positive_stl",
    name: "Positive model, STL",
    use: "the same for programs without 3MF, in mm",
  },
  { output: "work_order", name: "Work order, PDF", use: "what to make and how to set it up" },
  {
    output: "template",
    name: "True-size template, PDF",
    use: "screws and sections to lay on the part",
  },
  { output: "casting_sheet", name: "Casting sheet, PDF", use: "what to mark when casting" },
  { output: "findings", name: "Findings, JSON", use: "every figure and finding, for the file" },
  { output: "case", name: "Case, TOML", use: "the plan that all of it came from" },
];

/** What is written, and what each thing is for. */
export function OutputsForm() {
  const [{ outputs }, change] = useSection("make");
  const { casting } = useDocument().capture;
  const problem = useProblem("make.outputs");
  const offered = OUTPUTS.filter(({ output }) => output !== "casting_sheet" || casting !== null);
  const toggle = (output: Output, on: boolean): void =>
    // In the order of the list, so that ticking back is the same plan.
    change({
      outputs: OUTPUTS.map((one) => one.output).filter((one) =>
        one === output ? on : outputs.includes(one),
      ),
    });
  return (
    <Block title="What is written">
      <fieldset className="outputs">
        <legend className="unseen">Outputs</legend>
        {offered.map(({ output, name, use }) => (
          <label key={output} className="tick">
            <input
              type="checkbox"
              checked={outputs.includes(output)}
              onChange={(event) => toggle(output, event.target.checked)}
            />
            <span>
              {name} <span className="quiet">{use}</span>
            </span>
          </label>
        ))}
      </fieldset>
      {problem === null ? null : <p className="problem">{problem}</p>}
    </Block>
  );
}
