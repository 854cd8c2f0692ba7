import { scaleLinear } from "d3-scale";
import { line } from "d3-shape";
import { type KeyboardEvent, type PointerEvent, useState } from "react";
import { figure } from "../units/display";

export interface Series {
  readonly name: string;
  readonly values: readonly number[];
  /** 1 to 4: told apart by dash as well as by colour. */
  readonly style: 1 | 2 | 3 | 4;
}

interface LineChartProps {
  readonly title: string;
  readonly x: readonly number[];
  readonly xLabel: string;
  readonly yLabel: string;
  readonly series: readonly Series[];
  /** Words for places along the axis, instead of its numbers. */
  readonly marks?: readonly { readonly at: number; readonly word: string }[];
  /** A place along the axis in words, for the readout. */
  readonly placeWords?: (x: number) => string;
  /** Digits after the point of the values that are read. */
  readonly digits?: number;
  /** From the least value rather than from zero, where zero means nothing. */
  readonly fromLeast?: boolean;
}

const USUAL_DIGITS = 1;
const WIDTH = 400;
const HEIGHT = 220;
const PAD = { left: 40, right: 14, top: 22, bottom: 34 };

/** Curves over one axis, each named, with the values under the pointer. */
export function LineChart(props: LineChartProps) {
  const { x, series } = props;
  const [at, setAt] = useState<number | null>(null);
  const all = series.flatMap((one) => one.values);
  const across = scaleLinear()
    .domain([x[0] ?? 0, x[x.length - 1] ?? 1])
    .range([PAD.left, WIDTH - PAD.right]);
  const up = scaleLinear()
    .domain(
      props.fromLeast === true && all.length > 0
        ? [Math.min(...all), Math.max(...all)]
        : [Math.min(0, ...all), Math.max(0, ...all)],
    )
    .nice(5)
    .range([HEIGHT - PAD.bottom, PAD.top]);
  const path = line<number>()
    .x((_, i) => across(x[i] ?? 0))
    .y((value) => up(value));
  const onMove = (event: PointerEvent<SVGSVGElement>): void => {
    const box = event.currentTarget.getBoundingClientRect();
    const wanted = across.invert(((event.clientX - box.left) / box.width) * WIDTH);
    setAt(nearest(x, wanted));
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const by = { ArrowRight: 1, ArrowLeft: -1, PageUp: 10, PageDown: -10 }[event.key];
    if (by !== undefined) {
      event.preventDefault();
      setAt(at === null ? 0 : Math.min(x.length - 1, Math.max(0, at + by)));
    } else if (event.key === "Escape") {
      setAt(null);
    }
  };
  return (
    <figure className="chart">
      <Keys
        series={series}
        at={at}
        x={x}
        xLabel={props.xLabel}
        placeWords={props.placeWords}
        digits={props.digits ?? USUAL_DIGITS}
      />
      <svg
        viewBox={`0 0 ${WIDTH.toString()} ${HEIGHT.toString()}`}
        role="img"
        aria-label={describe(props)}
        onPointerDown={onMove}
        onPointerMove={onMove}
        // What a finger read stays when it is lifted.
        onPointerLeave={(event) => event.pointerType !== "touch" && setAt(null)}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: arrows read the values along the axis
        tabIndex={0}
        onKeyDown={onKeyDown}
      >
        {up.ticks(5).map((tick) => (
          <g key={tick} className={tick === 0 ? "zero" : "rule"}>
            <line x1={PAD.left} x2={WIDTH - PAD.right} y1={up(tick)} y2={up(tick)} />
            <text x={PAD.left - 6} y={up(tick)} textAnchor="end" dominantBaseline="central">
              {tick.toString().replace("-", "−")}
            </text>
          </g>
        ))}
        {(props.marks ?? across.ticks(5).map((at) => ({ at, word: at.toString() }))).map((mark) => (
          <text key={mark.at} x={across(mark.at)} y={HEIGHT - PAD.bottom + 14} textAnchor="middle">
            {mark.word}
          </text>
        ))}
        <text
          className="axis"
          x={(PAD.left + WIDTH - PAD.right) / 2}
          y={HEIGHT - 4}
          textAnchor="middle"
        >
          {props.xLabel}
        </text>
        <text className="axis" x={4} y={12}>
          {props.yLabel}
        </text>
        {series.map((one) => (
          <path
            key={one.name}
            className={`curve curve-${one.style.toString()}`}
            d={path([...one.values]) ?? ""}
          />
        ))}
        {at === null ? null : (
          <line
            className="rule-here"
            x1={across(x[at] ?? 0)}
            x2={across(x[at] ?? 0)}
            y1={PAD.top}
            y2={HEIGHT - PAD.bottom}
          />
        )}
      </svg>
    </figure>
  );
}

interface KeysProps {
  readonly series: readonly Series[];
  readonly at: number | null;
  readonly x: readonly number[];
  readonly xLabel: string;
  readonly placeWords?: (x: number) => string;
  readonly digits: number;
}

function Keys({ series, at, x, xLabel, placeWords, digits }: KeysProps) {
  return (
    <figcaption className="chart-keys" aria-live="polite">
      {series.map((one) => (
        <span key={one.name}>
          <svg viewBox="0 0 26 8" aria-hidden="true">
            <path className={`curve curve-${one.style.toString()}`} d="M1 4h24" />
          </svg>
          {one.name}
          {at === null ? null : <b> {figure(one.values[at] ?? 0, digits)}</b>}
        </span>
      ))}
      {at === null ? null : (
        <span className="quiet">
          {placeWords?.(x[at] ?? 0) ?? `at ${(x[at] ?? 0).toFixed(0)} ${xLabel}`}
        </span>
      )}
    </figcaption>
  );
}

function describe({ title, series, yLabel, digits = USUAL_DIGITS }: LineChartProps): string {
  const ranges = series.map((one) => {
    const low = figure(Math.min(...one.values), digits);
    const high = figure(Math.max(...one.values), digits);
    return `${one.name} from ${low} to ${high}`;
  });
  return `${title}, ${yLabel}: ${ranges.join("; ")}`;
}

function nearest(values: readonly number[], wanted: number): number {
  let best = 0;
  values.forEach((value, i) => {
    if (Math.abs(value - wanted) < Math.abs((values[best] ?? 0) - wanted)) {
      best = i;
    }
  });
  return best;
}
