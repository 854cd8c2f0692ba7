import { useSection } from "../../case/case-context";
import { Block } from "../../components/block";
import { NumberField } from "../../components/number-field";
import { PointList } from "../../components/point-list";
import { useListFocus } from "../../components/use-list-focus";
import { mm, percent } from "../../units/quantities";
import { useResults } from "../../workshop/use-viewer";
import { TakeUpCurve } from "./take-up-curve";

const NEXT_LEVEL_MM = 50;

/** Take-up by level, in percent of girth. */
export function TakeUpEditor() {
  const [shape, change] = useSection("shape");
  const limb = useResults("capture");
  const points = shape.take_up;
  const { heading, removing } = useListFocus(points.length);
  const replace = (index: number, part: Partial<(typeof points)[number]>): void =>
    change({ take_up: points.map((old, i) => (i === index ? { ...old, ...part } : old)) });
  const add = (): void => {
    const last = points[points.length - 1];
    const next = {
      level_mm: mm(last === undefined ? 0 : last.level_mm + NEXT_LEVEL_MM),
      girth_percent: last?.girth_percent ?? percent(0),
    };
    change({ take_up: [...points, next] });
  };
  return (
    <Block
      title="Take-up by level"
      heading={heading}
      aside={<span className="quiet">percent of girth</span>}
    >
      {points.length === 0 ? null : (
        <TakeUpCurve
          points={points}
          lowestMm={Math.floor(limb?.measures.length_below_datum_mm ?? 150)}
          onChange={replace}
        />
      )}
      <PointList
        heads={["Below mid-patellar tendon", "Take-up of girth"]}
        empty="No take-up: the girths stay as they are."
        onRemove={(index) =>
          removing(() => change({ take_up: points.filter((_, i) => i !== index) }))
        }
        rows={points.map((point, index) => ({
          name: `level ${(index + 1).toString()}`,
          fields: [
            <NumberField
              key="level"
              label={`Level ${(index + 1).toString()} below the mid-patellar tendon`}
              labelHidden
              value={point.level_mm}
              unit="mm"
              digits={0}
              step={5}
              path={`shape.take_up.${index.toString()}.level_mm`}
              onChange={(level) => replace(index, { level_mm: mm(level) })}
            />,
            <NumberField
              key="girth"
              label={`Take-up of girth at level ${(index + 1).toString()}`}
              labelHidden
              value={point.girth_percent}
              unit="%"
              step={0.5}
              path={`shape.take_up.${index.toString()}.girth_percent`}
              onChange={(girth) => replace(index, { girth_percent: percent(girth) })}
            />,
          ],
        }))}
      />
      <button type="button" className="add-button" onClick={add}>
        Add a level
      </button>
    </Block>
  );
}
