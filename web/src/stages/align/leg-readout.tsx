import type { MoveOutcome } from "../../api/replies";
import { useCaseState, useSection } from "../../case/case-context";
import { useView } from "../../case/view-context";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { useResults } from "../../workshop/use-viewer";
import { TurnList } from "./screw-answer";
import { hasWish, NO_WISH, type Trial, triedMoment, wishOf, wishWords } from "./trial";
import { keepAccepted } from "./turned";
import type { Outcome } from "./use-what-if";
import { byChange } from "./what-if";

const PHASES = [
  { phase: "early_stance", head: "Early" },
  { phase: "mid_stance", head: "Mid" },
  { phase: "late_stance", head: "Late" },
] as const;
const PLANES = [
  { plane: "coronal", head: "Coronal" },
  { plane: "sagittal", head: "Sagittal" },
] as const;

interface LegReadoutProps {
  readonly trial: Trial | null;
  readonly outcome: Outcome;
  readonly onTry: (trial: Trial | null) => void;
}

/** Under the drawing: what the tried foot does, the screws for it, and what is to become of it. */
export function LegReadout({ trial, outcome, onTry }: LegReadoutProps) {
  const [align, change] = useSection("align");
  const { id } = useCaseState();
  const wished = hasWish(align);
  if (trial === null && !wished) {
    return null;
  }
  const known = outcome.kind === "known" ? outcome.outcome : null;
  const settle = (part: Parameters<typeof change>[0]): void => {
    onTry(null);
    change(part);
  };
  return (
    <section className="leg-readout" aria-label="The foot tried elsewhere">
      <Moments
        known={known}
        trial={trial ?? { forward: align.wanted_forward_mm, outward: align.wanted_outward_mm }}
      />
      {outcome.kind === "failed" ? <p className="problem">{outcome.sentence}</p> : null}
      {known === null ? null : <Pressure outcome={known} />}
      {known === null ? null : <Screws outcome={known} />}
      <p className="quiet" role="status">
        {outcome.kind === "running" ? "Computing pressures and screws …" : ""}
      </p>
      <div className="leg-fate">
        <button
          type="button"
          className="main-button"
          disabled={known === null || known.steps.length === 0}
          onClick={() => {
            if (known !== null) {
              const wanted = wishWords(trial === null ? align : wishOf(trial));
              keepAccepted(id, known.adapters, {
                steps: known.steps,
                outOfReach: known.feasible ? "" : wanted,
              });
              settle({ adapters: known.adapters, ...NO_WISH });
            }
          }}
        >
          Turn the screws so
        </button>
        {trial === null ? null : (
          <button type="button" onClick={() => settle(wishOf(trial))}>
            Keep as a wish
          </button>
        )}
        <button type="button" onClick={() => (wished ? settle(NO_WISH) : onTry(null))}>
          Forget
        </button>
      </div>
      <p className="remark">
        {trial === null
          ? "Kept as a wish; the leg is as it was."
          : "Tried only: nothing is stored."}
      </p>
    </section>
  );
}

function Moments({ known, trial }: { known: MoveOutcome | null; trial: Trial }) {
  const alignment = useResults("align");
  const { number } = useUnits();
  const told = (plane: "coronal" | "sagittal", phase: string): string => {
    const one = known?.moments.find(
      (item) => item.place === "datum" && item.phase === phase && item.plane === plane,
    );
    const pair =
      one !== undefined
        ? ([one.before_n_m, one.after_n_m] as const)
        : alignment && triedMoment(alignment, phase, `${plane}_n_m`, trial);
    return pair === null ? "–" : pair.map((value) => number(value, "N·m", 1)).join(" → ");
  };
  return (
    <table className="table figures tight">
      <caption>
        Moments on the socket at the datum, N·m, before →{" "}
        {known === null ? "after, before rounding to turns" : "after the turns below"}; upper
        bounds, since people adapt
      </caption>
      <thead>
        <tr>
          <td />
          {PHASES.map(({ head }) => (
            <th scope="col" className="number" key={head}>
              {head}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {PLANES.map(({ plane, head }) => (
          <tr key={plane}>
            <th scope="row">{head}</th>
            {PHASES.map(({ phase }) => (
              <td className="number" key={phase}>
                {told(plane, phase)}
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Pressure({ outcome }: { outcome: MoveOutcome }) {
  const { number } = useUnits();
  const { settings } = useView();
  const under = outcome.areas.some((one) => one.load_case === settings.loadCase)
    ? settings.loadCase
    : outcome.areas[0]?.load_case;
  const [most] = byChange(outcome.areas.filter((one) => one.load_case === under));
  if (most === undefined || under === undefined) {
    return null;
  }
  const kpa = (value: number | null): string =>
    value === null ? "not held" : number(value, "kPa");
  return (
    <p>
      Pressure changes most at: {named(most.area)}, {kpa(most.mean_before_kpa)} →{" "}
      {kpa(most.mean_after_kpa)} kPa ({named(under)})
    </p>
  );
}

function Screws({ outcome }: { outcome: MoveOutcome }) {
  const screws = useResults("align")?.screws ?? [];
  return (
    <>
      {outcome.feasible ? null : (
        <p className="problem">Out of the adapters’ reach; the nearest that they give:</p>
      )}
      {outcome.steps.length === 0 ? <p>Nothing to turn that brings the foot nearer.</p> : null}
      <TurnList steps={outcome.steps} screws={screws} />
    </>
  );
}
