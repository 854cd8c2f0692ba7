import type { CouplingKind } from "../../api/document";
import type { Reason, SuspensionAdvice } from "../../api/results";
import { useSection } from "../../case/case-context";
import { Said } from "../../components/said";
import { named } from "../../words/words";

/** What speaks for and against each suspension; the choice is the practitioner's. */
export function SuspensionList({ advice }: { advice: readonly SuspensionAdvice[] }) {
  const [couple, change] = useSection("couple");
  const taken = couple.coupling.kind;
  return (
    <>
      <p className="remark">
        Reasons, not a verdict: the choice is yours, and part and maker’s instructions go first.
      </p>
      <ul className="suspensions">
        {advice.map((one) => (
          <li key={one.kind} className={one.kind === taken ? "taken" : undefined}>
            <details open={one.kind === taken}>
              <summary>
                <b>{named(one.kind)}</b>
                {one.kind === taken ? " (chosen)" : ""}{" "}
                <span className="quiet">{summary(one)}</span>
              </summary>
              <Reasons title="For" reasons={one.speaks_for} />
              <Reasons title="Think twice" reasons={one.think_twice} />
              <Reasons title="Avoid" reasons={one.avoid} />
              {one.not_asked.length === 0 ? null : (
                <p className="quiet">Not asked yet: {one.not_asked.join("; ")}.</p>
              )}
              {one.kind === taken || !isCoupling(one.kind) ? null : (
                <button
                  type="button"
                  onClick={() =>
                    isCoupling(one.kind) &&
                    change({ coupling: { ...couple.coupling, kind: one.kind } })
                  }
                >
                  Choose<span className="unseen"> {named(one.kind)}</span>
                </button>
              )}
            </details>
          </li>
        ))}
      </ul>
    </>
  );
}

const COUPLINGS: readonly string[] = [
  "pin",
  "magnet",
  "lanyard",
  "suction",
  "vacuum",
  "sleeve",
  "strap",
] satisfies readonly CouplingKind[];

/** Some suspensions are the socket's own shape and no coupling. */
function isCoupling(kind: string): kind is CouplingKind {
  return COUPLINGS.includes(kind);
}

function summary({ speaks_for, think_twice, avoid, not_asked }: SuspensionAdvice): string {
  const parts = [
    speaks_for.length > 0 ? `${speaks_for.length.toString()} for` : "",
    think_twice.length > 0 ? `${think_twice.length.toString()} to think about` : "",
    avoid.length > 0 ? `${avoid.length.toString()} against` : "",
    not_asked.length > 0 ? "not all asked" : "",
  ].filter((part) => part !== "");
  return parts.length === 0 ? "nothing known for or against" : parts.join(", ");
}

function Reasons({ title, reasons }: { title: string; reasons: readonly Reason[] }) {
  return reasons.length === 0 ? null : (
    <div className={`reasons reasons-${title.toLowerCase().replace(" ", "-")}`}>
      <p className="field-name">{title}</p>
      <ul>
        {reasons.map((reason) => (
          <li key={reason.text}>
            <Said text={reason.text} /> <span className="quiet source">{reason.source}</span>
          </li>
        ))}
      </ul>
    </div>
  );
}
