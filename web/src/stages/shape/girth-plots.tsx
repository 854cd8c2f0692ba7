import type { SocketShape } from "../../api/results";
import { useCaseState, useStage } from "../../case/case-context";
import { useView } from "../../case/view-context";
import { stageView, withLayer } from "../../case/view-settings";
import { Block } from "../../components/block";
import { SelectField } from "../../components/choice-field";
import { LineChart } from "../../components/line-chart";
import { digitsShown, usualDigits } from "../../units/display";
import { useUnits } from "../../units/units-context";
import { levelWords } from "../../words/words";
import { useBefore } from "../../workshop/before-context";
import { useOtherRevisions } from "../../workshop/use-revisions";
import { girthCurves } from "./girth-curves";

/** Which socket stands for “before”: that of the opening, until another revision is chosen. */
function BeforeField() {
  const { before, holdAgainst, asked } = useBefore();
  const others = useOtherRevisions();
  const { evaluated } = useCaseState();
  if (before === null) {
    return null;
  }
  const numbers = new Set([before.revision, ...others.map(({ number }) => number)]);
  const words = (number: number): string => {
    const opened = before.opening && number === before.revision;
    const now = number === evaluated?.revision;
    return `Revision ${number.toString()}${opened ? ", as opened" : now ? ", which stands" : ""}`;
  };
  return (
    <>
      <SelectField
        label="Before is"
        value={(asked?.revision ?? before.revision).toString()}
        options={[...numbers]
          .sort((a, b) => b - a)
          .map((number) => ({ value: number.toString(), label: words(number) }))}
        onChange={(number) => holdAgainst(Number(number))}
      />
      {asked === null ? null : (
        <p className={asked.problem === null ? "remark" : "problem"} role="status">
          {asked.problem ?? `Computing the shape of revision ${asked.revision.toString()} …`}
        </p>
      )}
    </>
  );
}

/** Girths and take-up over the level, with the socket as it was before. */
export function GirthPlots({ shape }: { shape: SocketShape }) {
  const { choice, sign, text } = useUnits();
  const { before, holdAgainstNow } = useBefore();
  const { settings, setSettings } = useView();
  const stale = useStage("shape").kind === "stale";
  const curves = girthCurves(shape, before?.shape ?? null, choice);
  const words = (level: number): string =>
    levelWords(level * curves.size, (value, unit) => text(value, unit, 0));
  const ghost = stageView(settings, "shape").layers.has("before");
  return (
    <Block title="Girth and take-up by level">
      <div className={stale ? "stale plots" : "plots"}>
        <LineChart
          title="Girth by level"
          x={curves.levels}
          xLabel={`${sign("mm")} below MPT`}
          yLabel={sign("mm")}
          digits={digitsShown("mm", usualDigits("mm"), choice)}
          series={curves.girths}
          placeWords={words}
          fromLeast
        />
        <LineChart
          title="Take-up by level"
          x={curves.levels}
          xLabel={`${sign("mm")} below MPT`}
          yLabel="% of girth"
          series={curves.takeUp}
          placeWords={words}
        />
      </div>
      <BeforeField />
      <div className="add-row">
        <button type="button" disabled={holdAgainstNow === null} onClick={() => holdAgainstNow?.()}>
          Hold against the shape as it is now
        </button>
        <button
          type="button"
          aria-pressed={ghost}
          disabled={before === null}
          onClick={() => setSettings((now) => withLayer(now, "shape", "before"))}
        >
          Outline of before on the limb
        </button>
      </div>
    </Block>
  );
}
