import type { SocketShape } from "../../api/results";
import { Block } from "../../components/block";
import { LineChart } from "../../components/line-chart";
import { useUnits } from "../../units/units-context";
import { levelWords } from "../../words/words";
import { useBefore } from "../../workshop/before-context";
import { useStage } from "../../workshop/case-context";
import { useView } from "../../workshop/view-context";
import { stageView, withLayer } from "../../workshop/view-settings";
import { girthCurves } from "./girth-curves";

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
      {before === null ? null : (
        <p className="remark">
          “Before” is the socket{" "}
          {before.opening
            ? "as the case was opened"
            : `of revision ${before.revision.toString()}, as you chose`}
          .
        </p>
      )}
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
