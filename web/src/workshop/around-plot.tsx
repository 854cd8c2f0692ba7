import { useMemo } from "react";
import { useDocument } from "../case/case-context";
import { useView } from "../case/view-context";
import { LineChart } from "../components/line-chart";
import { digitsShown, shownUnit, usualDigits } from "../units/display";
import { useUnits } from "../units/units-context";
import { named } from "../words/words";
import { AROUND_MARKS, aroundLevel, aroundWords } from "./around-level";
import { useArrays } from "./use-viewer";

/** Space and pressure around the limb at the level of the cross-section. */
export function AroundPlot({ levelMm }: { levelMm: number }) {
  const arrays = useArrays();
  const { side } = useDocument().person;
  const { settings } = useView();
  const { choice, sign } = useUnits();
  const around = useMemo(
    () => aroundLevel(arrays, side, levelMm, settings.loadCase),
    [arrays, side, levelMm, settings.loadCase],
  );
  if (around === null) {
    return null;
  }
  const { size } = shownUnit("mm", choice);
  const shared = {
    x: around.angles,
    xLabel: "around the limb",
    marks: AROUND_MARKS,
    placeWords: aroundWords,
  };
  return (
    <>
      <LineChart
        {...shared}
        title="Space around the level"
        yLabel={`${sign("mm")}, below 0 pressed in`}
        digits={digitsShown("mm", usualDigits("mm"), choice)}
        series={[
          { name: "Space added", values: around.offset.map((value) => value / size), style: 1 },
        ]}
      />
      <LineChart
        {...shared}
        title={`Pressure around the level, ${named(settings.loadCase).toLowerCase()}`}
        yLabel="kPa"
        digits={usualDigits("kPa")}
        series={[{ name: named(settings.loadCase), values: around.pressure, style: 2 }]}
      />
    </>
  );
}
