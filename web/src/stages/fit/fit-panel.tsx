import "./fit.css";
import type { Fitting } from "../../api/document";
import { revisionsAddress } from "../../browser/route";
import { useCaseState, useSection, useStage } from "../../case/case-context";
import { useView } from "../../case/view-context";
import { openFitting, withDraft, withoutFitting } from "../../case/view-settings";
import { Block } from "../../components/block";
import { LineChart } from "../../components/line-chart";
import { StageResults } from "../../components/stage-results";
import { useListFocus } from "../../components/use-list-focus";
import { useResults } from "../../workshop/use-viewer";
import { Answers } from "./answers";
import { ComplaintList } from "./complaint-list";
import { FittingForm } from "./fitting-form";
import { FittingList } from "./fitting-list";
import { freshFitting, isEmpty } from "./fittings";
import { HandChanges } from "./hand-changes";
import { WalkSeen } from "./walk-seen";

/** What was learned at the fittings, and what to change first. */
export function FitPanel() {
  const [{ fittings }, change] = useSection("fit");
  const { settings, setSettings } = useView();
  const number = openFitting(settings, fittings.length);
  const fitting = fittings[number];
  const open = (next: number | null): void =>
    setSettings((now) => ({ ...now, fitting: next, complaint: null }));
  const set = (part: Partial<Fitting>): void =>
    change({ fittings: fittings.map((one, i) => (i === number ? { ...one, ...part } : one)) });
  const add = (): void => {
    change({ fittings: [...fittings, freshFitting()] });
    setSettings((now) => ({ ...withDraft(now, fittings.length, null), fitting: null }));
  };
  const { heading, removing } = useListFocus(fittings.length);
  const remove = (): void => {
    removing(() => change({ fittings: fittings.filter((_, i) => i !== number) }));
    setSettings((now) => withoutFitting(now, number));
  };
  return (
    <>
      <Block
        title="Fittings"
        heading={heading}
        aside={
          <button type="button" onClick={add}>
            New fitting
          </button>
        }
      >
        {fitting === undefined ? (
          <p className="remark">
            No fitting is logged yet. A fitting holds what the person feels and where, the comfort
            score, the plies worn, what was seen of the walk and what was changed by hand.
          </p>
        ) : (
          <FittingList fittings={fittings} open={number} onOpen={open} />
        )}
      </Block>
      {fitting === undefined ? null : (
        // Another fitting's half-typed entries are not this one's.
        <OpenFitting key={number} {...{ fitting, number }} onChange={set} onRemove={remove} />
      )}
      <StageResults state={useStage("fit")}>
        {(result) => (
          <>
            {fitting === undefined ? null : (
              <Answers result={result} fitting={fitting} number={number} />
            )}
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

interface OpenFittingProps {
  readonly fitting: Fitting;
  readonly number: number;
  readonly onChange: (part: Partial<Fitting>) => void;
  readonly onRemove: () => void;
}

function OpenFitting({ fitting, number, onChange, onRemove }: OpenFittingProps) {
  const begun = useView().settings.drafts[number] !== undefined;
  const reading = useResults("fit")?.readings.find((one) => one.fitting === number);
  return (
    <Block
      title={`Fitting of ${fitting.date}`}
      aside={
        isEmpty(fitting) && !begun ? (
          <button type="button" className="plain-button" onClick={onRemove}>
            Remove this empty fitting
          </button>
        ) : undefined
      }
    >
      <FittingForm fitting={fitting} onChange={onChange} number={number} />
      <WornRevision worn={fitting.revision} />
      <ComplaintList
        complaints={fitting.complaints}
        fitting={number}
        path={`fit.fittings.${number.toString()}.complaints`}
        onChange={(complaints) => onChange({ complaints })}
      />
      <WalkSeen {...{ fitting, number, reading, onChange }} />
      <HandChanges
        changes={fitting.changes}
        fitting={number}
        onChange={(changes) => onChange({ changes })}
      />
    </Block>
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
