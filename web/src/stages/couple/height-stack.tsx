import type { Coupling } from "../../api/results";
import { BasisBadge } from "../../components/basis-badge";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { spreadLabels, stackOf } from "./stack";

const WIDTH = 400;
const HEIGHT = 330;
const TOP = 14;
const COLUMN = { left: 56, width: 54 };
const LABEL_X = 136;
const LABEL_GAP = 17;

/** From the datum down to the floor, drawn to scale, and the tube that is left. */
export function HeightStack({ height, bodyMm }: { height: Coupling["height"]; bodyMm: number }) {
  const { text } = useUnits();
  const stack = stackOf(height);
  const scale = (HEIGHT - 2 * TOP) / Math.max(stack.lengthMm, height.datum_floor_mm);
  const y = (mm: number): number => TOP + mm * scale;
  const labels = spreadLabels(
    stack.parts.map((part) => y(part.topMm + part.heightMm / 2)),
    LABEL_GAP,
    HEIGHT - 8,
  );
  const floor = y(height.datum_floor_mm);
  const spare = height.pylon_mm - height.pylon_minimum_mm;
  const verdict =
    spare >= 0
      ? `${text(spare, "mm")} remain over the shortest tube`
      : `${text(-spare, "mm")} are missing`;
  return (
    <div className="height-stack">
      <p className={spare >= 0 ? "stack-verdict" : "stack-verdict short"}>
        {verdict}; the tube is {text(height.pylon_mm, "mm")}, at least{" "}
        {text(height.pylon_minimum_mm, "mm")} is needed.
      </p>
      <svg
        viewBox={`0 0 ${WIDTH.toString()} ${HEIGHT.toString()}`}
        role="img"
        aria-label={`Build height to scale, from datum to floor ${text(height.datum_floor_mm, "mm")}: ${verdict}`}
      >
        {stack.parts.map((part, i) => {
          const label = labels[i] ?? 0;
          const middle = y(part.topMm + part.heightMm / 2);
          const amount = part.tube ? height.pylon_mm : part.heightMm;
          return (
            <g key={part.name} className={part.tube ? "stack-tube" : `stack-${part.basis}`}>
              <rect
                x={COLUMN.left}
                y={y(part.topMm)}
                width={COLUMN.width}
                height={part.heightMm * scale}
              />
              <path
                d={`M${(COLUMN.left + COLUMN.width + 2).toString()} ${middle.toFixed(1)}L${(LABEL_X - 4).toString()} ${label.toFixed(1)}`}
              />
              <text x={LABEL_X} y={label} dominantBaseline="central">
                {part.tube ? "Left for the tube" : named(part.name)}
              </text>
              <text x={WIDTH - 4} y={label} textAnchor="end" dominantBaseline="central">
                {text(amount, "mm")}
              </text>
            </g>
          );
        })}
        <line className="stack-floor" x1={8} x2={LABEL_X - 12} y1={floor} y2={floor} />
        <text x={8} y={floor - 4}>
          floor
        </text>
        <line className="stack-floor" x1={8} x2={LABEL_X - 12} y1={TOP} y2={TOP} />
        <text x={8} y={TOP + 12}>
          MPT
        </text>
        {stack.beyondMm > 0 ? (
          <rect
            className="stack-beyond"
            x={COLUMN.left - 5}
            y={floor}
            width={COLUMN.width + 10}
            height={stack.beyondMm * scale}
          />
        ) : null}
      </svg>
      <Rests height={height} bodyMm={bodyMm} />
    </div>
  );
}

/** What each height rests on. */
function Rests({ height, bodyMm }: { height: Coupling["height"]; bodyMm: number }) {
  const { text } = useUnits();
  const rise = height.items.find(({ name }) => name === "coupling body")?.height_mm;
  const [own, risen] = [text(bodyMm, "mm"), rise === undefined ? null : text(rise, "mm")];
  return (
    <>
      <p className="remark">
        Along the limb’s axis, before flexion and adduction: cut the tube to the length of the
        aligned leg.
        {height.slack_mm > 0
          ? ` Default heights may be up to ${text(height.slack_mm, "mm")} too tall in sum.`
          : ""}
        {risen === null || risen === own
          ? ""
          : ` The coupling’s body is ${own} high; on its tilted axis it rises ${risen}.`}
      </p>
      <details className="more">
        <summary>What each height rests on</summary>
        <table className="table figures">
          <tbody>
            <tr>
              <th scope="row">Mid-patellar tendon to floor</th>
              <td className="number">{text(height.datum_floor_mm, "mm")}</td>
              <td>
                <BasisBadge basis={height.datum_basis} />
              </td>
            </tr>
            {height.items.map((item) => (
              <tr key={item.name}>
                <th scope="row">{named(item.name)}</th>
                <td className="number">{text(item.height_mm, "mm")}</td>
                <td>
                  <BasisBadge basis={item.basis} /> {item.part}
                </td>
              </tr>
            ))}
            <tr>
              <th scope="row">Liner cap to the sound side’s floor</th>
              <td className="number">{text(height.clearance_mm, "mm")}</td>
              <td />
            </tr>
          </tbody>
        </table>
      </details>
    </>
  );
}
