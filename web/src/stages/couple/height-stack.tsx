import type { Coupling } from "../../api/results";
import { BasisBadge } from "../../components/basis-badge";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";

/** From the datum down to the floor: each part's height, and the tube that is left. */
export function HeightStack({ height }: { height: Coupling["height"] }) {
  const { text } = useUnits();
  const fits = height.pylon_mm >= height.pylon_minimum_mm;
  const total = height.datum_floor_mm;
  const shareOf = (mm: number): number => Math.max(0, (mm / total) * 100);
  return (
    <div className="height-stack">
      <table className="table figures">
        <tbody>
          <tr>
            <th scope="row">Mid-patellar tendon to floor</th>
            <td className="number">{text(total, "mm", 0)}</td>
            <td>
              <BasisBadge basis={height.datum_basis} />
            </td>
            <td />
          </tr>
          {height.items.map((item) => (
            <tr key={item.name}>
              <th scope="row">{named(item.name)}</th>
              <td className="number">{text(item.height_mm, "mm", 0)}</td>
              <td>
                <BasisBadge basis={item.basis} />
              </td>
              <td className="share-cell">
                <ShareBar percent={shareOf(item.height_mm)} />
              </td>
            </tr>
          ))}
        </tbody>
        <tfoot>
          <tr className={fits ? undefined : "short"}>
            <th scope="row">Left for the tube</th>
            <td className="number">{text(height.pylon_mm, "mm", 0)}</td>
            <td colSpan={2}>at least {text(height.pylon_minimum_mm, "mm", 0)} is needed</td>
          </tr>
        </tfoot>
      </table>
      <p className="remark">
        Along the limb’s axis, before flexion and adduction: cut the tube to the length of the
        aligned leg.
        {height.slack_mm > 0
          ? ` Default heights may be up to ${text(height.slack_mm, "mm", 0)} too tall in sum.`
          : ""}
      </p>
    </div>
  );
}

function ShareBar({ percent }: { percent: number }) {
  return (
    <svg className="share-bar" viewBox="0 0 100 8" preserveAspectRatio="none" aria-hidden="true">
      <rect width={percent.toFixed(1)} height="8" />
    </svg>
  );
}
