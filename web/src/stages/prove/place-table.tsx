import type { PlaceReading } from "../../api/results";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";

interface PlaceTableProps {
  readonly readings: readonly PlaceReading[];
  readonly loadCase: string;
  /** Only places of these kinds; all when left out. */
  readonly kinds?: readonly PlaceReading["kind"][];
}

/** Mean and peak of each area and place in one load case, with bands where they were computed. */
export function PlaceTable({ readings, loadCase, kinds }: PlaceTableProps) {
  const { number } = useUnits();
  const rows = readings
    .filter((one) => kinds === undefined || kinds.includes(one.kind))
    .map((one) => ({ one, at: one.cases.find((item) => item.load_case === loadCase) }))
    .filter(({ one, at }) => at !== undefined && one.covered_share > 0);
  const write = (value: number, band: readonly [number, number] | null | undefined): string =>
    band === null || band === undefined
      ? number(value, "kPa")
      : `${number(value, "kPa")} (${number(band[0], "kPa")}–${number(band[1], "kPa")})`;
  return (
    <table className="table figures">
      <caption>
        In kPa, {named(loadCase).toLowerCase()}; in brackets one standard deviation of what is
        uncertain. A place is the skin close about its landmarks; an area of its name is where the
        socket is shaped, which may lie beside it.
      </caption>
      <thead>
        <tr>
          <th scope="col">Place</th>
          <th scope="col" className="number">
            Mean
          </th>
          <th scope="col" className="number">
            Highest 1 cm²
          </th>
          <th scope="col" className="number">
            Of limit
          </th>
        </tr>
      </thead>
      <tbody>
        {rows.map(({ one, at }) => (
          <tr key={`${one.kind} ${one.place}`}>
            <th scope="row">
              {named(one.place)}
              {one.kind === "relief area" ? <span className="quiet"> relief</span> : null}
            </th>
            <td className="number">{write(at?.mean_kpa ?? 0, at?.mean_band_kpa)}</td>
            <td className="number">{write(at?.peak_kpa ?? 0, at?.peak_band_kpa)}</td>
            <td className="number">
              {at?.share === null || at?.share === undefined
                ? "–"
                : `${Math.round(at.share * 100).toString()} %`}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
