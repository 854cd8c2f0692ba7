/**
 * The edge of an area on the limb as it is drawn and dragged: where it runs by the last results,
 * how an edit not yet computed shifts it, and what dragging a part of it means for the plan. Pure.
 *
 * Around and along are counted from the area's middle: along is up the limb, around from outward
 * towards the front. The engine measures along the skin; this preview is replaced by its answer.
 */

import type { AreaPlan, Point } from "../api/document";
import { mm } from "../units/quantities";
import type { IsoLine } from "./iso-lines";
import { clamp, deepenedArea, FARTHEST_MM, LONGEST_MM, shortTurn } from "./moving-areas";

/** What the plan's open entries stand for. */
export interface Usual {
  readonly length_mm: number;
  readonly width_mm: number;
  readonly blend_mm: number;
}

export type EdgeName = "upper" | "lower" | "ahead" | "behind";
export const EDGES: readonly EdgeName[] = ["upper", "lower", "ahead", "behind"];

/** An outline in the limb's frame, with its middle and how far it reaches from there. */
export interface Outline {
  readonly lines: readonly { readonly points: readonly Point[]; readonly closed: boolean }[];
  readonly middle: Point;
}

/** How an outline is shifted and stretched, mm. */
export interface Reshaping {
  readonly along: number;
  readonly around: number;
  readonly longer: number;
  readonly wider: number;
}

/** The outline of iso-lines; null where the area has none. */
export function outlineOf(
  lines: readonly IsoLine[],
  toLimb: (point: Point) => Point,
): Outline | null {
  const drawn = lines.map(({ positions, closed }) => ({
    points: pointsOf(positions).map(toLimb),
    closed,
  }));
  const all = drawn.flatMap(({ points }) => points);
  return all.length < 3 ? null : { lines: drawn, middle: middleOf(all) };
}

function pointsOf(positions: Float32Array): Point[] {
  const points: Point[] = [];
  for (let i = 0; i + 2 < positions.length; i += 3) {
    points.push([positions[i] ?? 0, positions[i + 1] ?? 0, positions[i + 2] ?? 0]);
  }
  return points;
}

/** Halfway between the outermost parts, along and around, at the outline's mean distance. */
function middleOf(points: readonly Point[]): Point {
  const towards = Math.atan2(
    points.reduce((sum, [x, y]) => sum + y / Math.hypot(x, y), 0),
    points.reduce((sum, [x, y]) => sum + x / Math.hypot(x, y), 0),
  );
  const turns = points.map(([x, y]) => turnFrom(towards, x, y));
  const turn = towards + (Math.min(...turns) + Math.max(...turns)) / 2;
  const heights = points.map(([, , z]) => z);
  const radius = points.reduce((sum, [x, y]) => sum + Math.hypot(x, y), 0) / points.length;
  return [
    radius * Math.cos(turn),
    radius * Math.sin(turn),
    (Math.min(...heights) + Math.max(...heights)) / 2,
  ];
}

function turnFrom(angle: number, x: number, y: number): number {
  return shortTurn(Math.atan2(y, x) - angle);
}

/** Around and along of a point from a middle, mm. */
export function flat([x, y, z]: Point, middle: Point): readonly [number, number] {
  const angle = Math.atan2(middle[1], middle[0]);
  return [turnFrom(angle, x, y) * Math.hypot(middle[0], middle[1]), z - middle[2]];
}

/** What differs between two plans of one area, as far as it moves the outline. */
export function reshaping(before: AreaPlan, after: AreaPlan, usual: Usual): Reshaping {
  const size = (plan: AreaPlan, name: keyof Usual): number => plan[name] ?? usual[name];
  const blend = size(after, "blend_mm") - size(before, "blend_mm");
  return {
    along: before.move_distal_mm - after.move_distal_mm,
    around: after.move_around_mm - before.move_around_mm,
    longer: size(after, "length_mm") - size(before, "length_mm") + blend,
    wider: size(after, "width_mm") - size(before, "width_mm") + blend,
  };
}

/** An outline shifted and stretched about its middle; `onSkin` puts a point back on the surface. */
export function reshaped(
  outline: Outline,
  by: Reshaping,
  onSkin: (point: Point) => Point,
): Outline {
  if (Object.values(by).every((part) => Math.abs(part) < 0.01)) {
    return outline;
  }
  const { middle, lines } = outline;
  const reach = reachOf(outline);
  const grown = (half: number, more: number): number =>
    half < 0.5 ? 1 : Math.max(0.05, 1 + more / (2 * half));
  const [wide, long] = [grown(reach[0], by.wider), grown(reach[1], by.longer)];
  const radius = Math.hypot(middle[0], middle[1]);
  const moved = (point: Point): Point => {
    const [around, along] = flat(point, middle);
    const turn = (around * wide + by.around - around) / radius;
    const [x, y] = [point[0], point[1]];
    const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
    return onSkin([cos * x - sin * y, sin * x + cos * y, middle[2] + along * long + by.along]);
  };
  return {
    middle: moved(middle),
    lines: lines.map(({ points, closed }) => ({ points: points.map(moved), closed })),
  };
}

/** Half of what an outline spans, around and along, mm. */
function reachOf({ lines, middle }: Outline): readonly [number, number] {
  const all = lines.flatMap(({ points }) => points).map((point) => flat(point, middle));
  const half = (k: 0 | 1): number => {
    const parts = all.map((one) => one[k]);
    return (Math.max(...parts) - Math.min(...parts)) / 2;
  };
  return [half(0), half(1)];
}

/** Where an edge is taken hold of: the ends along, and on either side beside the middle. */
export function edgePoint(outline: Outline, edge: EdgeName): Point {
  const { lines, middle } = outline;
  const all = lines.flatMap(({ points }) => points);
  const [, long] = reachOf(outline);
  const beside = all.filter((point) => Math.abs(flat(point, middle)[1]) <= 0.35 * long);
  const among = isLengthwise(edge) || beside.length === 0 ? all : beside;
  const farther = (a: Point, b: Point): boolean => outOf(edge, a, middle) > outOf(edge, b, middle);
  return among.reduce((best, point) => (farther(point, best) ? point : best));
}

/** How far a point lies from a middle towards where an edge is, mm. */
export function outOf(edge: EdgeName, point: Point, middle: Point): number {
  const [around, along] = flat(point, middle);
  return { upper: along, lower: -along, ahead: around, behind: -around }[edge];
}

/** Whether dragging an edge changes an area's length, not its width. */
export function isLengthwise(edge: EdgeName): boolean {
  return edge === "upper" || edge === "lower";
}

/** An edge in words of the limb: those on either side are named by where they lie. */
export function edgeWords({ middle }: Outline, edge: EdgeName): string {
  if (isLengthwise(edge)) {
    return edge === "upper" ? "upper edge" : "lower edge";
  }
  const sign = edge === "ahead" ? 1 : -1;
  // Around, from outward towards the front: across the line from the axis.
  const [x, y] = [-middle[1] * sign, middle[0] * sign];
  if (Math.abs(x) > Math.abs(y)) {
    return x > 0 ? "lateral edge" : "medial edge";
  }
  return y > 0 ? "anterior edge" : "posterior edge";
}

/** The plan after one edge was dragged so far outward, mm; the opposite edge stays. */
export function edgeDragged(
  plan: AreaPlan,
  usual: Usual,
  edge: EdgeName,
  outwardMm: number,
): AreaPlan {
  const lengthwise = isLengthwise(edge);
  const name = lengthwise ? "length_mm" : "width_mm";
  const size = plan[name] ?? usual[name];
  const next = tenths(clamp(size + outwardMm, 0, LONGEST_MM));
  const shift = ((edge === "upper" || edge === "behind" ? -1 : 1) * (next - size)) / 2;
  const move = lengthwise ? "move_distal_mm" : "move_around_mm";
  const moved = tenths(clamp(plan[move] + shift, -FARTHEST_MM, FARTHEST_MM));
  return { ...plan, [name]: mm(next), [move]: mm(moved) };
}

/** The plan after the depth's handle was pulled away from the area's mark. */
export function depthDragged(plan: AreaPlan, deeperMm: number, loads: boolean): AreaPlan {
  const size = Math.abs(plan.depth_mm);
  return deepenedArea(plan, tenths(size + deeperMm) - size, loads);
}

function tenths(value: number): number {
  return Math.round(10 * value) / 10;
}
