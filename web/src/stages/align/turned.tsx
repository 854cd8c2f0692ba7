import type { AdapterPlan } from "../../api/document";
import type { AdjustmentStep } from "../../api/results";
import { keepInTab, keptInTab } from "../../browser/tab-storage";
import { useCaseState, useDocument } from "../../case/case-context";
import { Said } from "../../components/said";
import { useUnits } from "../../units/units-context";
import { useResults } from "../../workshop/use-viewer";
import { standsWords } from "./bench-form";
import { TurnList } from "./screw-answer";

const HEAD = "limbwright.turned.";

/** Turns that were just accepted, from where the leg stood until then. */
interface Accepted {
  readonly steps: readonly AdjustmentStep[];
  /** What was wanted, where they only come as near to it as the adapters reach; else "". */
  readonly outOfReach: string;
}

const NOTHING_ACCEPTED: Accepted = { steps: [], outOfReach: "" };

/** Keeps the turns to be made at the leg readable after they are accepted, over a reload too. */
export function keepAccepted(
  id: string,
  adapters: readonly AdapterPlan[],
  accepted: Accepted,
): void {
  keepInTab(HEAD + id, { settings: settingsKey(adapters), ...accepted });
}

/** The turns that led to these settings; none once anything was set anew, or taken back. */
export function acceptedFor(id: string, adapters: readonly AdapterPlan[]): Accepted {
  const kept = keptInTab(HEAD + id) as (Partial<Accepted> & { settings?: string }) | null;
  if (kept?.settings !== settingsKey(adapters) || !Array.isArray(kept.steps)) {
    return NOTHING_ACCEPTED;
  }
  return { steps: kept.steps, outOfReach: kept.outOfReach ?? "" };
}

/** What has been turned: at last, and altogether from the bench as it was planned. */
export function Turned() {
  const { id } = useCaseState();
  const { align } = useDocument();
  const alignment = useResults("align");
  const units = useUnits();
  if (alignment === null || alignment.turned.length === 0) {
    return null;
  }
  const { turned, screws } = alignment;
  const { steps: last, outOfReach } = acceptedFor(id, align.adapters);
  const isAll = last.length === 0 || inWords(last) === inWords(turned);
  return (
    <section className="screws" aria-label="Turned so far">
      {isAll ? null : (
        <>
          <h4>Accepted last, from where the leg stood</h4>
          <TurnList steps={last} screws={screws} />
        </>
      )}
      {outOfReach === "" ? null : (
        <p className="problem">
          The turns accepted last come as near as the adapters reach to what was wanted:{" "}
          <Said text={outOfReach} />. What is missing takes the bench or other parts.
        </p>
      )}
      <h4>Turned from the planned bench setting</h4>
      <TurnList steps={turned} screws={screws} />
      <p className="remark">
        {isAll ? "" : "All turns together, those accepted last among them. "}After them{" "}
        {standsWords(alignment, units)}. The work order lists them.
      </p>
    </section>
  );
}

function inWords(steps: readonly AdjustmentStep[]): string {
  return steps.map((step) => `${step.adapter}: ${step.do}`).join("; ");
}

function settingsKey(adapters: readonly AdapterPlan[]): string {
  return JSON.stringify(
    adapters.map((one) => [
      one.place,
      one.kind,
      one.flexion_deg,
      one.adduction_deg,
      one.forward_mm,
      one.outward_mm,
      one.turn_deg,
      one.length_mm,
    ]),
  );
}
