/** The leg laid flat for a front and a side view, in mm over the floor's axes. Pure. */

import type { Point, Side } from "../../api/document";
import type { Alignment, Limb } from "../../api/results";

export type ViewName = "front" | "side";
export type Flat = readonly [number, number];

export interface FlatLeg {
  /** From the limb's end down to the ankle. */
  readonly chain: readonly Flat[];
  readonly foot: readonly Flat[];
  /** Outline of the limb down to the socket's base. */
  readonly limb: readonly Flat[];
  /** Across the page where the load line stands; null when it is not known. */
  readonly loadLine: number | null;
  readonly floor: number;
  readonly top: number;
  readonly knee: Flat | null;
  readonly datum: Flat;
  readonly adapters: readonly Flat[];
}

const CHAIN = [
  "socket_base",
  "socket_adapter",
  "pylon_top",
  "pylon_bottom",
  "foot_adapter",
  "ankle",
] as const;
const FOOT = ["ankle", "heel", "toe"] as const;

/** Which way a view's right hand is: outward or forward, and its sign. */
export function acrossSign(view: ViewName, side: Side): 1 | -1 {
  // From the front one faces the person: their right is on one's left. From the outer side of a
  // right limb, forward is on one's right.
  const right = side === "right";
  return (view === "front") === right ? -1 : 1;
}

export function flatLeg(
  alignment: Alignment,
  limb: Limb | null,
  view: ViewName,
  side: Side,
): FlatLeg {
  const { up, forward, points_mm: points, load_line: line } = alignment;
  const outward = cross(forward, up);
  const across = view === "front" ? outward : forward;
  const sign = acrossSign(view, side);
  const flat = (point: Point): Flat => [sign * dot(point, across), dot(point, up)];
  const at = (name: string): Flat[] => {
    const point = points[name];
    return point === undefined ? [] : [flat(point)];
  };
  const knee = line?.places.find(({ name }) => name === "knee");
  const aside = view === "front" ? knee?.line_outward_mm : knee?.line_forward_mm;
  const floor = line === null ? lowest(points, up) : dot(line.point_mm, up);
  const loadLine = line === null ? null : flat(line.point_mm)[0];
  const end: Point | null = limb === null ? null : [0, 0, -limb.measures.length_below_datum_mm];
  const lining = limb === null ? [] : outline(limb, view);
  return {
    chain: [...(end === null ? [] : [flat(end)]), ...CHAIN.flatMap(at)],
    foot: FOOT.flatMap(at),
    limb: lining.map(flat),
    loadLine,
    floor,
    top: Math.max(60, ...lining.map((point) => flat(point)[1])),
    knee:
      knee === undefined || aside === undefined || loadLine === null
        ? null
        : [loadLine - sign * aside, floor + knee.height_mm],
    datum: flat([0, 0, 0]),
    adapters: alignment.chain.map(({ point_mm }) => flat(point_mm)),
  };
}

/** The leg with its foot shifted across the page, sole level. The tube leans between its pyramids;
 * the load line goes with the foot, whose ground it stands on. The tilts are kept, so that up stays
 * up; what the leg loses in length by the lean is left out. */
export function withFootAt(leg: FlatLeg, byMm: number): FlatLeg {
  const high = leg.adapters[0]?.[1] ?? leg.datum[1];
  const low = leg.adapters.at(-1)?.[1] ?? leg.floor;
  const share = (u: number): number => Math.min(1, Math.max(0, (high - u) / (high - low || 1)));
  const put = ([x, u]: Flat): Flat => [x + share(u) * byMm, u];
  return {
    ...leg,
    chain: leg.chain.map(put),
    adapters: leg.adapters.map(put),
    foot: leg.foot.map(([x, u]): Flat => [x + byMm, u]),
    loadLine: leg.loadLine === null ? null : leg.loadLine + byMm,
  };
}

/** The limb's measured widths about its long axis, down one side and up the other. */
function outline(limb: Limb, view: ViewName): Point[] {
  const half = limb.measures.levels.map((level) => ({
    half: (view === "front" ? level.ml_mm : level.ap_mm) / 2,
    up: -level.level_mm,
  }));
  const end: Point = [0, 0, -limb.measures.length_below_datum_mm];
  const edge =
    (side: number) =>
    (one: { half: number; up: number }): Point =>
      view === "front" ? [side * one.half, 0, one.up] : [0, side * one.half, one.up];
  return [...half.map(edge(1)), end, ...half.map(edge(-1)).reverse()];
}

function lowest(points: Alignment["points_mm"], up: Point): number {
  return Math.min(...Object.values(points).map((point) => dot(point, up)));
}

function dot(a: Point, b: Point): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

function cross(a: Point, b: Point): Point {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}
