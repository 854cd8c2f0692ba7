import { usualDigits } from "../units/display";
import { useUnits } from "../units/units-context";
import { bandColours, legendTicks } from "../viewer/ramps";
import type { Painting } from "./painting";

const BAR_HEIGHT = 168;
const BAR_WIDTH = 16;

interface LegendProps {
  readonly painting: Painting;
  /** The case of load that the colours belong to, if any. */
  readonly under: string | null;
  /** How far the numbers can be trusted, as the engine labels them. */
  readonly label: string | null;
}

/** What the colours mean: quantity, unit, range. */
export function Legend({ painting, under, label }: LegendProps) {
  const units = useUnits();
  const { ramp } = painting.paint;
  const colours = bandColours(ramp);
  const place = (value: number): number =>
    BAR_HEIGHT * (1 - (value - ramp.low) / (ramp.high - ramp.low));
  const note =
    typeof painting.note === "function"
      ? painting.note((mm) => units.text(mm, "mm", 1))
      : painting.note;
  const share = painting.unit === "";
  const write = (value: number): string =>
    share
      ? `${Math.round(value * 100).toString()} %`
      : units.number(value, painting.unit, digits(painting.unit, ramp.high));
  return (
    <figure className="legend">
      <figcaption>
        <strong>{painting.title}</strong>
        {share ? null : <span>{unitWords(units.sign(painting.unit))}</span>}
        {painting.ends === undefined ? null : (
          <span className="legend-end">{painting.ends.high}</span>
        )}
        {under === null ? null : <span className="legend-under">{under}</span>}
      </figcaption>
      <svg
        viewBox={`0 -7 92 ${(BAR_HEIGHT + 14).toString()}`}
        width="92"
        height={BAR_HEIGHT + 14}
        role="img"
        aria-label={`From ${write(ramp.low)} to ${write(ramp.high)} ${units.sign(painting.unit)}`}
      >
        {colours.map((colour, i) => {
          const height = BAR_HEIGHT / colours.length;
          const y = BAR_HEIGHT - (i + 1) * height;
          // A hair of overlap keeps seams between the bands from showing.
          return (
            <rect key={colour} x="0" y={y} width={BAR_WIDTH} height={height + 0.4} fill={colour} />
          );
        })}
        <rect
          className="legend-frame"
          x="0.5"
          y="0.5"
          width={BAR_WIDTH - 1}
          height={BAR_HEIGHT - 1}
        />
        {legendTicks(ramp).map((tick) => (
          <text key={tick} x={BAR_WIDTH + 6} y={place(tick)} dominantBaseline="central">
            {share && tick > 1 ? "beyond" : write(tick)}
          </text>
        ))}
      </svg>
      {painting.ends === undefined ? null : <span className="legend-end">{painting.ends.low}</span>}
      {note === undefined ? null : <p className="legend-note">{note}</p>}
      {label === null ? null : <p className="legend-note">{label}</p>}
    </figure>
  );
}

/** " in mm"; an inch's sign alone, which would read "in in". */
function unitWords(sign: string): string {
  return sign === "in" ? ", inches" : ` in ${sign}`;
}

/** A pressure is told to whole kPa, however small the scale. */
function digits(unit: string, high: number): number {
  return high >= 10 ? 0 : Math.min(1, usualDigits(unit));
}
