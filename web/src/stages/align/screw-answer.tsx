import type { Alignment, ScrewTurn } from "../../api/results";
import { Fact, Facts } from "../../components/fact";
import { useUnits } from "../../units/units-context";
import { counted, named } from "../../words/words";

const OPPOSITE: Readonly<Record<string, string>> = {
  anterior: "posterior",
  posterior: "anterior",
  medial: "lateral",
  lateral: "medial",
};

/** Which screws, how many turns, and what that really gives after rounding to quarters. */
export function ScrewAnswer({ adjustment }: { adjustment: Alignment["adjustment"] }) {
  const { text } = useUnits();
  const turns = adjustment.turns.filter((turn) => turn.turns !== 0);
  return (
    <div className={adjustment.feasible ? "screws" : "screws out-of-reach"}>
      {turns.length === 0 ? null : (
        <ol className="turns">
          {turns.map((turn) => (
            <li key={`${turn.adapter} ${turn.screw}`}>
              <b className="turn-count">{quarters(turn.turns)}</b>
              <span>
                {named(turn.adapter)} adapter: back out the {OPPOSITE[turn.screw]} screw, then drive
                in the {turn.screw} one, {turnWords(turn)} each
              </span>
            </li>
          ))}
        </ol>
      )}
      <p className={adjustment.feasible ? "remark" : "problem"}>{adjustment.text}</p>
      <Facts>
        <Fact name="Reached: forward">{text(adjustment.reached_forward_mm, "mm")}</Fact>
        <Fact name="Reached: outward">{text(adjustment.reached_outward_mm, "mm")}</Fact>
        <Fact name="Reached: toes up">{text(adjustment.reached_foot_flexion_deg, "deg")}</Fact>
        <Fact name="Reached: outer border up">
          {text(adjustment.reached_foot_adduction_deg, "deg")}
        </Fact>
        <Fact name="Length of the leg changes by">{text(adjustment.length_change_mm, "mm")}</Fact>
      </Facts>
    </div>
  );
}

const QUARTER_SIGNS = ["", "¼", "½", "¾"] as const;

/** "1½": screws are turned by quarters. */
function quarters(turns: number): string {
  const count = Math.round(Math.abs(turns) * 4);
  const whole = Math.floor(count / 4);
  const rest = QUARTER_SIGNS[count % 4] ?? "";
  return whole === 0 && rest !== "" ? rest : `${whole.toString()}${rest}`;
}

function turnWords({ turns }: ScrewTurn): string {
  const count = Math.round(Math.abs(turns) * 4);
  return count % 4 === 0 ? counted(count / 4, "turn") : counted(count, "quarter turn");
}
