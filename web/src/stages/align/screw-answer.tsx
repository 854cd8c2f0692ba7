import type { Adjustment, AdjustmentStep, SeenScrew } from "../../api/results";
import { Fact, Facts } from "../../components/fact";
import { Said } from "../../components/said";
import { type Units, useUnits } from "../../units/units-context";
import { counted, named } from "../../words/words";

interface ScrewsProps {
  readonly screws: readonly SeenScrew[];
}

interface ScrewAnswerProps extends ScrewsProps {
  readonly adjustment: Adjustment;
}

/** What to turn and slide, in which order, and what that really gives after rounding. */
export function ScrewAnswer({ adjustment, screws }: ScrewAnswerProps) {
  const { text } = useUnits();
  const { steps, feasible, nearest_text: nearest } = adjustment;
  return (
    <div className={feasible ? "screws" : "screws out-of-reach"}>
      {feasible ? null : (
        <p className="problem">
          <Said text={adjustment.text} />
        </p>
      )}
      {steps.length === 0 ? null : (
        <>
          {feasible ? null : <p className="remark">Nearest within the ranges:</p>}
          <TurnList steps={steps} screws={screws} />
        </>
      )}
      {feasible || nearest !== "" ? (
        <p className="remark">
          <Said text={feasible ? adjustment.text : nearest} />
        </p>
      ) : null}
      <Facts>
        <Fact name="Reached: forward">{text(adjustment.reached_forward_mm, "mm")}</Fact>
        <Fact name="Reached: outward">{text(adjustment.reached_outward_mm, "mm")}</Fact>
        <Fact name="Reached: toes up">{text(adjustment.reached_foot_flexion_deg, "deg")}</Fact>
        <Fact name="Reached: outer border up">
          {text(adjustment.reached_foot_adduction_deg, "deg")}
        </Fact>
        <Fact name="Reached: toes outward">{text(adjustment.reached_toe_out_deg, "deg")}</Fact>
        <Fact name="Length of the leg changes by">{text(adjustment.length_change_mm, "mm")}</Fact>
      </Facts>
    </div>
  );
}

/** What is turned and slid, in order: how far, which screw, and from where to where. */
export function TurnList({ steps, screws }: Pick<Adjustment, "steps"> & ScrewsProps) {
  const { text } = useUnits();
  return (
    <ol className="turns">
      {steps.map((step) => (
        <li key={step.number}>
          <b className="turn-count">{amountOf(step, text)}</b>
          <span>
            {stepWords(step)}
            <span className="notes">
              {seenWords(step, screws)} {fromToWords(step, text)}
            </span>
          </span>
        </li>
      ))}
    </ol>
  );
}

/** "flexion from 7.8 ° to 11.4 °": angles from straight, shifts from the middle. */
function fromToWords(step: AdjustmentStep, text: Units["text"]): string {
  const [start, end] = [step.start, step.end].map((value) => text(value, step.change_unit));
  return `– ${step.what} from ${start ?? ""} to ${end ?? ""}`;
}

/** Where the screw to drive in is for the one who stands before the person and faces the leg. */
function seenWords(step: AdjustmentStep, screws: readonly SeenScrew[]): string {
  const seen = screws.find((one) => one.adapter === step.adapter && one.screw === step.screw);
  return seen === undefined ? "" : ` (${seen.seen} as you face the leg)`;
}

const QUARTER_SIGNS = ["", "¼", "½", "¾"] as const;

export function amountOf(
  step: AdjustmentStep,
  text: (value: number, unit: string) => string,
): string {
  return step.unit === "turns" ? quarters(step.amount) : text(step.amount, step.unit);
}

export function stepWords(step: AdjustmentStep): string {
  const main = step.adapter === "socket" || step.adapter === "foot";
  const name = main ? `${named(step.adapter)} adapter` : named(step.adapter);
  if (step.screw === "") {
    return `${name}: ${step.undo}, then ${step.do}`;
  }
  const out = step.undo.split(" screw out")[0] ?? "";
  return `${name}: back out the ${out} screw, then drive in the ${step.screw} one, ${turnWords(step)} each`;
}

/** "1½": screws are turned by quarters; an angle set by hand may be no whole number of them. */
export function quarters(turns: number): string {
  if (!isWhole(4 * turns)) {
    return Math.abs(turns).toFixed(2);
  }
  const count = Math.round(Math.abs(turns) * 4);
  const whole = Math.floor(count / 4);
  const rest = QUARTER_SIGNS[count % 4] ?? "";
  return whole === 0 && rest !== "" ? rest : `${whole.toString()}${rest}`;
}

function turnWords({ amount }: AdjustmentStep): string {
  if (!isWhole(4 * amount)) {
    return `${quarters(amount)} turns`;
  }
  const count = Math.round(Math.abs(amount) * 4);
  return count % 4 === 0 ? counted(count / 4, "turn") : counted(count, "quarter turn");
}

function isWhole(count: number): boolean {
  return Math.abs(count - Math.round(count)) < 1e-6;
}
