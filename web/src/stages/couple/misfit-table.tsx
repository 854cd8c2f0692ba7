import type { Coupling, Finding } from "../../api/results";
import { useStage } from "../../case/case-context";
import { useUnits } from "../../units/units-context";
import { labelHead, named } from "../../words/words";
import { useResults } from "../../workshop/use-viewer";

/** Tilt and offset of the liner's target in each load case, and what is left of the tolerance. */
export function MisfitTable({
  coupling,
  findings,
}: {
  coupling: Coupling;
  findings: readonly Finding[];
}) {
  const proof = useResults("prove");
  const stale = useStage("prove").kind === "stale";
  const { number, sign } = useUnits();
  const limits = { tilt: limitOf(findings, "tilt"), offset: limitOf(findings, "offset") };
  const loaded = Object.keys(proof?.coupling_tilt_deg ?? {}).map((name) => ({
    name,
    tilt: proof?.coupling_tilt_deg[name] ?? 0,
    offset: proof?.coupling_offset_mm[name] ?? 0,
  }));
  const rows = [
    { name: "unloaded", tilt: coupling.seat.tilt_deg, offset: coupling.seat.offset_mm },
    ...loaded,
  ];
  const left = (limit: number | null, value: number, unit: string): string =>
    limit === null ? "–" : number(limit - value, unit);
  const under = (limit: number | null, value: number): string =>
    limit !== null && value > limit ? "number beyond" : "number";
  return (
    <table className={stale ? "table figures stale" : "table figures"}>
      <caption>
        Liner target off the coupling
        {proof === null
          ? ""
          : `; under load by a ${labelHead(proof.interface.label).toLowerCase()}`}
        . A negative margin is beyond what the coupling takes
        {limits.tilt === null && limits.offset === null ? "; no tolerance is established" : ""}.
      </caption>
      <thead>
        <tr>
          <th scope="col">Load</th>
          <th scope="col" className="number">
            Tilt, °
          </th>
          <th scope="col" className="number">
            Margin
          </th>
          <th scope="col" className="number">
            Offset, {sign("mm")}
          </th>
          <th scope="col" className="number">
            Margin
          </th>
        </tr>
      </thead>
      <tbody>
        {rows.map(({ name, tilt, offset }) => (
          <tr key={name}>
            <th scope="row">{named(name)}</th>
            <td className="number">{number(tilt, "deg")}</td>
            <td className={under(limits.tilt, tilt)}>{left(limits.tilt, tilt, "deg")}</td>
            <td className="number">{number(offset, "mm")}</td>
            <td className={under(limits.offset, offset)}>{left(limits.offset, offset, "mm")}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** What the coupling takes, as the findings of this stage hold it against the target. */
function limitOf(findings: readonly Finding[], what: "tilt" | "offset"): number | null {
  return findings.find(({ code }) => code === `target-${what}-unloaded`)?.limit ?? null;
}
