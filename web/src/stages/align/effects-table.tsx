import type { ChangeEffect, PhaseMoments } from "../../api/results";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";

const COLUMNS = [
  { phase: "mid_stance", plane: "coronal_n_m", head: "Cor. mid" },
  { phase: "early_stance", plane: "sagittal_n_m", head: "Sag. early" },
  { phase: "mid_stance", plane: "sagittal_n_m", head: "Sag. mid" },
  { phase: "late_stance", plane: "sagittal_n_m", head: "Sag. late" },
] as const;

/** What small changes of this leg do to the moments on the socket, and to its length. */
export function EffectsTable({ effects }: { effects: readonly ChangeEffect[] }) {
  const { number, text } = useUnits();
  const [first] = effects;
  if (first === undefined) {
    return null;
  }
  return (
    <details className="more">
      <summary>What a small change does</summary>
      <table className="table figures tight">
        <caption>
          Moments at the datum in N·m; upper bounds of the change, since people adapt
        </caption>
        <thead>
          <tr>
            <th scope="col">Change</th>
            {COLUMNS.map(({ head }) => (
              <th scope="col" className="number" key={head}>
                {head}
              </th>
            ))}
            <th scope="col" className="number">
              Length
            </th>
          </tr>
        </thead>
        <tbody>
          <tr>
            <th scope="row">As set</th>
            {COLUMNS.map(({ phase, plane, head }) => (
              <td className="number" key={head}>
                {number(momentAt(first.before, phase)?.[plane] ?? Number.NaN, "N·m", 1)}
              </td>
            ))}
            <td />
          </tr>
          {effects.map((effect) => (
            <tr key={effect.name}>
              <th scope="row">
                {named(effect.name)} {text(effect.amount, effect.unit, 0)}
              </th>
              {COLUMNS.map(({ phase, plane, head }) => (
                <td className="number" key={head}>
                  {number(momentAt(effect.after, phase)?.[plane] ?? Number.NaN, "N·m", 1)}
                </td>
              ))}
              <td className="number">
                {number(effect.length_after_mm - effect.length_before_mm, "mm", 1)}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  );
}

function momentAt(moments: readonly PhaseMoments[], phase: string): PhaseMoments | undefined {
  return moments.find((one) => one.place === "datum" && one.phase === phase);
}
