import type { ShapePlan, TrimPoint } from "../../api/document";
import { useSection } from "../../case/case-context";
import { Block } from "../../components/block";
import { NumberField } from "../../components/number-field";
import { PointList } from "../../components/point-list";
import { useListFocus } from "../../components/use-list-focus";
import { degrees, mm } from "../../units/quantities";
import { TrimReadout } from "./trim-readout";

const SIDES = [
  { name: "anterior_mm", label: "Anterior" },
  { name: "medial_mm", label: "Medial" },
  { name: "lateral_mm", label: "Lateral" },
  { name: "posterior_mm", label: "Posterior" },
] as const;

/** Heights of the trim line above the mid-patellar tendon, and the brim. */
export function TrimEditor() {
  const [shape, change] = useSection("shape");
  const setTrim = (part: Partial<ShapePlan["trim"]>): void =>
    change({ trim: { ...shape.trim, ...part } });
  const { brim } = shape;
  return (
    <Block title="Trim line" aside={<span className="quiet">above the mid-patellar tendon</span>}>
      <div className="form">
        {SIDES.map(({ name, label }) => (
          <NumberField
            key={name}
            label={label}
            value={shape.trim[name]}
            unit="mm"
            digits={0}
            path={`shape.trim.${name}`}
            onChange={(height) => setTrim({ [name]: mm(height) })}
          />
        ))}
        <NumberField
          label="Brim rolls out by"
          value={brim.flare_mm}
          unit="mm"
          step={0.5}
          path="shape.brim.flare_mm"
          onChange={(flare) => change({ brim: { ...brim, flare_mm: mm(flare) } })}
        />
        <NumberField
          label="Brim begins below the edge at"
          value={brim.height_mm}
          unit="mm"
          path="shape.brim.height_mm"
          onChange={(height) => change({ brim: { ...brim, height_mm: mm(height) } })}
        />
      </div>
      <TrimReadout />
      <ExtraPoints points={shape.trim.extra} onChange={(extra) => setTrim({ extra })} />
    </Block>
  );
}

interface ExtraPointsProps {
  readonly points: readonly TrimPoint[];
  readonly onChange: (points: readonly TrimPoint[]) => void;
}

/** More control points: angle from outward towards the front, and height. */
function ExtraPoints({ points, onChange }: ExtraPointsProps) {
  const replace = (index: number, part: Partial<TrimPoint>): void =>
    onChange(points.map((old, i) => (i === index ? { ...old, ...part } : old)));
  // A summary stands in the order of the keys as it is.
  const { heading, removing } = useListFocus<HTMLElement>(points.length);
  return (
    <details className="more" open={points.length > 0}>
      <summary ref={heading.ref}>Further points of the line</summary>
      <PointList
        heads={["From lateral towards anterior", "Height"]}
        empty="None: the line runs smoothly through the four heights."
        onRemove={(index) => removing(() => onChange(points.filter((_, i) => i !== index)))}
        rows={points.map((point, index) => ({
          name: `point ${(index + 1).toString()}`,
          fields: [
            <NumberField
              key="angle"
              label={`Point ${(index + 1).toString()}: angle from lateral towards anterior`}
              labelHidden
              value={point.angle_deg}
              unit="deg"
              digits={0}
              step={5}
              path={`shape.trim.extra.${index.toString()}.angle_deg`}
              onChange={(angle) => replace(index, { angle_deg: degrees(angle) })}
            />,
            <NumberField
              key="height"
              label={`Point ${(index + 1).toString()}: height`}
              labelHidden
              value={point.height_mm}
              unit="mm"
              digits={0}
              path={`shape.trim.extra.${index.toString()}.height_mm`}
              onChange={(height) => replace(index, { height_mm: mm(height) })}
            />,
          ],
        }))}
      />
      <button
        type="button"
        className="add-button"
        onClick={() => onChange([...points, { angle_deg: degrees(45), height_mm: mm(30) }])}
      >
        Add a point
      </button>
    </details>
  );
}
