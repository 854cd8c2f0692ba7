import "./fit.css";
import type { Fitting } from "../../api/document";
import { Block } from "../../components/block";
import { LineChart } from "../../components/line-chart";
import { StageResults } from "../../components/stage-results";
import { revisionsAddress } from "../../route";
import { useCaseState, useSection, useStage } from "../../workshop/case-context";
import { Answers } from "./answers";
import { ComplaintList } from "./complaint-list";
import { FittingForm } from "./fitting-form";
import { HandChanges } from "./hand-changes";

/** What was learned at the fittings, and what to change first. */
export function FitPanel() {
  const [{ fittings }, change] = useSection("fit");
  const { stored } = useCaseState();
  const last = fittings[fittings.length - 1];
  const set = (part: Partial<Fitting>): void =>
    change({
      fittings: fittings.map((one, i) => (i === fittings.length - 1 ? { ...one, ...part } : one)),
    });
  const add = (): void =>
    change({ fittings: [...fittings, freshFitting(stored?.revision ?? null)] });
  return (
    <>
      <Block
        title={last === undefined ? "Fittings" : `Fitting of ${last.date}`}
        aside={
          <button type="button" onClick={add}>
            New fitting
          </button>
        }
      >
        {last === undefined ? (
          <p className="remark">
            No fitting is logged yet. A fitting holds what the person feels and where, the comfort
            score, the plies worn, what was seen of the walk and what was changed by hand.
          </p>
        ) : (
          <>
            <FittingForm fitting={last} onChange={set} number={fittings.length - 1} />
            <WornRevision worn={last.revision} />
            <ComplaintList
              complaints={last.complaints}
              onChange={(complaints) => set({ complaints })}
            />
            <HandChanges changes={last.changes} onChange={(changes) => set({ changes })} />
          </>
        )}
      </Block>
      <StageResults state={useStage("fit")}>
        {(result) => (
          <>
            <Answers answers={result.answers} last={fittings.length - 1} />
            <Trend title="Socket comfort" unit="0 to 10" values={result.comfort} />
            <Trend title="Sock ply" unit="ply" values={result.ply} />
          </>
        )}
      </StageResults>
    </>
  );
}

/** To the revision that was worn beside the one that stands. */
function WornRevision({ worn }: { worn: number | null }) {
  const { id, stored } = useCaseState();
  const standing = stored?.revision ?? null;
  const compared =
    worn === null || standing === null || worn === standing
      ? null
      : { before: worn, after: standing };
  return (
    <p>
      <a href={revisionsAddress(id, compared)}>
        {compared === null
          ? "Revisions side by side"
          : `Revision ${compared.before.toString()}, which was worn, beside ${compared.after.toString()}, which stands`}
      </a>
    </p>
  );
}

interface TrendProps {
  readonly title: string;
  readonly unit: string;
  readonly values: readonly (readonly [string, number])[];
}

/** How a score went from fitting to fitting. */
function Trend({ title, unit, values }: TrendProps) {
  if (values.length < 2) {
    return null;
  }
  return (
    <Block title={title}>
      <LineChart
        title={title}
        x={values.map((_, i) => i + 1)}
        xLabel="fitting"
        yLabel={unit}
        series={[{ name: title, values: values.map(([, value]) => value), style: 1 }]}
      />
      <p className="remark">
        {values.map(([date, value]) => `${date}: ${value.toString()}`).join("; ")}
      </p>
    </Block>
  );
}

function freshFitting(revision: number | null): Fitting {
  const now = new Date();
  const two = (value: number): string => value.toString().padStart(2, "0");
  return {
    date: `${now.getFullYear().toString()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`,
    revision,
    comfort: null,
    comfort_best: null,
    comfort_worst: null,
    ply: null,
    worn_minutes: null,
    complaints: [],
    observed: [],
    changes: [],
    note: "",
  };
}
