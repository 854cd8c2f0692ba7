import { scaleLinear } from "d3-scale";
import { curveMonotoneY, line } from "d3-shape";
import { type KeyboardEvent, type PointerEvent, useRef, useState } from "react";
import type { TakeUpPoint } from "../../api/document";
import { mm, percent } from "../../units/quantities";
import { useUnits } from "../../units/units-context";
import { movedPoint, ranges } from "./take-up";

const WIDTH = 400;
const HEIGHT = 220;
const PAD = { left: 54, right: 14, top: 40, bottom: 12 };

interface CurveProps {
  readonly points: readonly TakeUpPoint[];
  readonly lowestMm: number;
  readonly onChange: (index: number, point: TakeUpPoint) => void;
}

/** Take-up over the level as a curve; its points are dragged, or moved by arrow keys. */
export function TakeUpCurve({ points, lowestMm, onChange }: CurveProps) {
  const { text, number, sign } = useUnits();
  const [dragged, setDragged] = useState<{ index: number; point: TakeUpPoint } | null>(null);
  const picture = useRef<SVGSVGElement>(null);
  const shown = points.map((point, i) => (dragged?.index === i ? dragged.point : point));
  const range = ranges(points, lowestMm);
  const across = scaleLinear()
    .domain(range.percent)
    .range([PAD.left, WIDTH - PAD.right]);
  const down = scaleLinear()
    .domain(range.level)
    .range([PAD.top, HEIGHT - PAD.bottom]);
  const ordered = [...shown].sort((a, b) => a.level_mm - b.level_mm);
  const ends = ordered.length === 0 ? [] : beyond(ordered, range.level);
  // The engine's own curve is monotone between the points and constant beyond them, like this one.
  const path = line<TakeUpPoint>()
    .x((point) => across(point.girth_percent))
    .y((point) => down(point.level_mm))
    .curve(curveMonotoneY);

  const at = (event: PointerEvent): { level: number; girth: number } => {
    const box = picture.current?.getBoundingClientRect() ?? new DOMRect(0, 0, 1, 1);
    return {
      level: down.invert(((event.clientY - box.top) / box.height) * HEIGHT),
      girth: across.invert(((event.clientX - box.left) / box.width) * WIDTH),
    };
  };
  const onMove = (event: PointerEvent<SVGGElement>): void => {
    if (dragged !== null) {
      const { level, girth } = at(event);
      setDragged({ ...dragged, point: movedPoint(points, dragged.index, level, girth, lowestMm) });
    }
  };
  const onUp = (): void => {
    if (dragged !== null) {
      onChange(dragged.index, dragged.point);
      setDragged(null);
    }
  };
  const onKeyDown = (index: number, point: TakeUpPoint) => (event: KeyboardEvent) => {
    const step = {
      ArrowUp: [-5, 0],
      ArrowDown: [5, 0],
      ArrowLeft: [0, -0.5],
      ArrowRight: [0, 0.5],
    }[event.key];
    if (step !== undefined) {
      event.preventDefault();
      const [level = 0, girth = 0] = step;
      onChange(
        index,
        movedPoint(points, index, point.level_mm + level, point.girth_percent + girth, lowestMm),
      );
    }
  };

  return (
    <figure className="chart take-up-curve">
      <svg ref={picture} viewBox={`0 0 ${WIDTH.toString()} ${HEIGHT.toString()}`}>
        <title>Take-up of girth by level; its points can be dragged</title>
        {across.ticks(6).map((tick) => (
          <g key={tick} className={tick === 0 ? "zero" : "rule"}>
            <line x1={across(tick)} x2={across(tick)} y1={PAD.top} y2={HEIGHT - PAD.bottom} />
            <text x={across(tick)} y={PAD.top - 7} textAnchor="middle">
              {`${tick.toString().replace("-", "−")} %`}
            </text>
          </g>
        ))}
        {down.ticks(5).map((tick) => (
          <text
            key={tick}
            x={PAD.left - 8}
            y={down(tick)}
            textAnchor="end"
            dominantBaseline="central"
          >
            {number(tick, "mm", 0)}
          </text>
        ))}
        <text className="axis" x={2} y={12}>
          {sign("mm")} below MPT
        </text>
        <path
          className="curve curve-1"
          d={path([...ends.slice(0, 1), ...ordered, ...ends.slice(1)]) ?? ""}
        />
        {shown.map((point, i) => (
          <g
            // biome-ignore lint/suspicious/noArrayIndexKey: a point is known by its place in the list
            key={i}
            className="take-up-handle"
            transform={`translate(${across(point.girth_percent).toString()} ${down(point.level_mm).toString()})`}
            role="slider"
            tabIndex={0}
            aria-label={`Take-up at level ${(i + 1).toString()}`}
            aria-valuemin={range.percent[0]}
            aria-valuemax={range.percent[1]}
            aria-valuenow={point.girth_percent}
            aria-valuetext={`${text(point.girth_percent, "%", 1)} at ${text(point.level_mm, "mm", 0)} below the mid-patellar tendon`}
            onPointerDown={(event) => {
              event.currentTarget.setPointerCapture(event.pointerId);
              setDragged({ index: i, point });
            }}
            onPointerMove={onMove}
            onPointerUp={onUp}
            onPointerCancel={() => setDragged(null)}
            onKeyDown={onKeyDown(i, point)}
          >
            <circle className="take-up-grip" r={28} />
            <circle className="take-up-point" r={8} />
          </g>
        ))}
      </svg>
    </figure>
  );
}

/** The curve stays constant beyond its first and last point. */
function beyond(ordered: readonly TakeUpPoint[], level: readonly [number, number]): TakeUpPoint[] {
  const [first, last] = [ordered[0], ordered[ordered.length - 1]];
  return first === undefined || last === undefined
    ? []
    : [
        { level_mm: mm(Math.min(level[0], first.level_mm)), girth_percent: first.girth_percent },
        {
          level_mm: mm(Math.max(level[1], last.level_mm)),
          girth_percent: percent(last.girth_percent),
        },
      ];
}
