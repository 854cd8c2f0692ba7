import { type KeyboardEvent, type PointerEvent, useRef, useState } from "react";
import type { Side } from "../../api/document";
import type { Alignment, Limb } from "../../api/results";
import { useDocument, useSection, useStage } from "../../case/case-context";
import { useUnits } from "../../units/units-context";
import { useResults } from "../../workshop/use-viewer";
import { acrossSign, type Flat, flatLeg, type ViewName, withFootAt } from "./leg-geometry";
import { type Trial, triedMoment } from "./trial";

const REACH_MM = 60;
const VIEWS = [
  { view: "front", title: "From the front", part: "outward", span: [-115, 115] },
  { view: "side", title: "From the outer side", part: "forward", span: [-110, 240] },
] as const;

interface TrialProps {
  readonly trial: Trial | null;
  readonly onTry: (trial: Trial | null) => void;
}

/** The leg from the front and from the side with its load line; the foot can be dragged. */
export function LegViews({ trial, onTry }: TrialProps) {
  const alignment = useResults("align");
  const limb = useResults("capture");
  const { side } = useDocument().person;
  const stale = useStage("align").kind === "stale";
  if (alignment === null) {
    return null;
  }
  return (
    <div className={stale ? "leg-views stale" : "leg-views"}>
      {VIEWS.map((one) => (
        <LegView
          key={one.view}
          {...one}
          trial={trial}
          onTry={onTry}
          alignment={alignment}
          limb={limb}
          side={side}
        />
      ))}
      {trial !== null ? null : (
        <p className="remark">
          Drag the foot, or choose it and press the arrow keys (with Shift five times as far), or
          enter a wanted change further down. Nothing is stored until you set or keep it.
        </p>
      )}
    </div>
  );
}

interface LegViewProps extends TrialProps {
  readonly view: ViewName;
  readonly title: string;
  readonly part: keyof Trial;
  readonly span: readonly [number, number];
  readonly alignment: Alignment;
  readonly limb: Limb | null;
  readonly side: Side;
}

function LegView(props: LegViewProps) {
  const { view, title, part, span, alignment, limb, side, trial, onTry } = props;
  const [align] = useSection("align");
  const [dragging, setDragging] = useState(false);
  const drag = useRef<{ x: number; perPixel: number; from: number; was: Trial | null } | null>(
    null,
  );
  const units = useUnits();
  const asIs = flatLeg(alignment, limb, view, side);
  const sign = acrossSign(view, side);
  const at = trial ?? { forward: align.wanted_forward_mm, outward: align.wanted_outward_mm };
  const moved = at[part];
  const leg = withFootAt(asIs, sign * moved);
  const put = (value: number): void => onTry({ ...at, [part]: clamped(value) });

  const onDown = (event: PointerEvent<SVGGElement>): void => {
    const picture = event.currentTarget.ownerSVGElement;
    if (picture !== null) {
      const perPixel = (span[1] - span[0]) / picture.getBoundingClientRect().width;
      drag.current = { x: event.clientX, perPixel, from: moved, was: trial };
      event.currentTarget.setPointerCapture(event.pointerId);
      setDragging(true);
    }
  };
  const onMove = (event: PointerEvent<SVGGElement>): void => {
    if (drag.current !== null) {
      const { x, perPixel, from } = drag.current;
      put(from + sign * (event.clientX - x) * perPixel);
    }
  };
  const onUp = (): void => {
    drag.current = null;
    setDragging(false);
  };
  const onCancel = (): void => {
    onTry(drag.current?.was ?? null);
    onUp();
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const way = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (way !== undefined) {
      event.preventDefault();
      put(moved + way * sign * (event.shiftKey ? 5 : 1));
    } else if (event.key === "Home") {
      event.preventDefault();
      put(0);
    }
  };

  // The page's y runs down.
  const top = -(leg.top + 34);
  const bottom = -leg.floor + 30;
  const path = (points: readonly Flat[]): string =>
    `M${points.map(([x, u]) => `${x.toFixed(1)} ${(-u).toFixed(1)}`).join("L")}`;
  const plane = view === "front" ? "coronal_n_m" : "sagittal_n_m";
  const pair = triedMoment(alignment, "mid_stance", plane, at);
  const moment =
    pair === null
      ? ""
      : `${view === "front" ? "Coronal" : "Sagittal"}, mid stance: ${pair
          .slice(0, moved === 0 ? 1 : 2)
          .map((value) => units.number(value, "N·m", 1))
          .join(" → ")} N·m${moved === 0 ? "" : ", before rounding to turns"}`;
  const words = movedWords(moved, view, units.text);
  const outer = acrossSign("front", side) === 1 ? "→ outer" : "outer ←";
  return (
    <figure className="leg-view">
      <figcaption>{title}</figcaption>
      <svg
        viewBox={`${span[0].toString()} ${top.toFixed(0)} ${(span[1] - span[0]).toString()} ${(bottom - top).toFixed(0)}`}
      >
        <title>{`${title}: limb, adapters, foot and load line. ${words}. ${moment}`}</title>
        <g transform={`translate(${offsetFor(view, sign, span).toString()} 0)`}>
          <line className="leg-floor" x1={-260} x2={260} y1={-leg.floor} y2={-leg.floor} />
          {leg.limb.length > 0 ? <path className="leg-limb" d={`${path(leg.limb)}Z`} /> : null}
          {moved === 0 ? null : (
            <g className="leg-ghost">
              <path className="leg-chain" d={path(asIs.chain)} />
              <path className="leg-foot" d={`${path(asIs.foot)}Z`} />
              {asIs.loadLine === null ? null : (
                <line
                  className="leg-load"
                  x1={asIs.loadLine}
                  x2={asIs.loadLine}
                  y1={top + 26}
                  y2={-asIs.floor}
                />
              )}
            </g>
          )}
          <path className="leg-chain" d={path(leg.chain)} />
          <path className="leg-foot" d={`${path(leg.foot)}Z`} />
          {leg.adapters.map(([x, u], i) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: adapters have no other name here
            <circle key={i} className="leg-adapter" cx={x} cy={-u} r={6} />
          ))}
          {leg.loadLine === null ? null : (
            <>
              <line
                className="leg-load"
                x1={leg.loadLine}
                x2={leg.loadLine}
                y1={top + 26}
                y2={-leg.floor}
              />
              <text x={leg.loadLine} y={top + 20} textAnchor="middle">
                load line
              </text>
            </>
          )}
          {leg.knee === null ? null : (
            <circle className="leg-knee" cx={leg.knee[0]} cy={-leg.knee[1]} r={7} />
          )}
          <g
            className={dragging ? "leg-handle dragging" : "leg-handle"}
            role="slider"
            tabIndex={0}
            aria-label={view === "front" ? "Foot in the front view" : "Foot in the side view"}
            aria-valuemin={-REACH_MM}
            aria-valuemax={REACH_MM}
            aria-valuenow={moved}
            aria-valuetext={`${words}. ${moment}`}
            onPointerDown={onDown}
            onPointerMove={onMove}
            onPointerUp={onUp}
            onPointerCancel={onCancel}
            onKeyDown={onKeyDown}
          >
            <path className="leg-grip" d={`${path(leg.foot)}Z`} />
            <path d={`${path(leg.foot)}Z`} />
          </g>
        </g>
        {view === "front" ? (
          <text x={(span[0] + span[1]) / 2} y={bottom - 6} textAnchor="middle">
            {outer}
          </text>
        ) : (
          <text x={(span[0] + span[1]) / 2} y={bottom - 6} textAnchor="middle">
            {sign === 1 ? "forward →" : "← forward"}
          </text>
        )}
      </svg>
      <p className="leg-words">{words}</p>
      <p className="leg-moment">{moment}</p>
    </figure>
  );
}

/** A side view of a left limb faces the other way: shifted so that the toes stay inside. */
function offsetFor(view: ViewName, sign: 1 | -1, span: readonly [number, number]): number {
  return view === "side" && sign === -1 ? span[0] + span[1] : 0;
}

function movedWords(
  moved: number,
  view: ViewName,
  text: (value: number, unit: string, digits?: number) => string,
): string {
  if (moved === 0) {
    return "Foot where it is";
  }
  const ways = view === "front" ? ["outward", "inward"] : ["forward", "back"];
  return `Foot ${text(Math.abs(moved), "mm", 0)} ${ways[moved > 0 ? 0 : 1] ?? ""}`;
}

function clamped(value: number): number {
  return Math.round(Math.min(REACH_MM, Math.max(-REACH_MM, value)));
}
