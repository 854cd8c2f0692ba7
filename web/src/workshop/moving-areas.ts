/** What moving, stretching or deepening an area on the limb means for its plan. Pure. */

import type { AreaPlan, Point } from "../api/document";
import { mm } from "../units/quantities";

export const FARTHEST_MM = 60;
export const LONGEST_MM = 150;
export const DEEPEST_MM = 20;

/** The plan of an area whose centre was dragged from one point of the limb to another. */
export function movedArea(area: AreaPlan, from: Point, to: Point): AreaPlan {
  const radius = 0.5 * (Math.hypot(from[0], from[1]) + Math.hypot(to[0], to[1]));
  return {
    ...area,
    move_distal_mm: mm(within(area.move_distal_mm + from[2] - to[2], FARTHEST_MM)),
    move_around_mm: mm(within(area.move_around_mm + radius * turnBetween(from, to), FARTHEST_MM)),
  };
}

/** The plan of an area made longer and wider; what was left to its default grows from there. */
export function stretchedArea(
  area: AreaPlan,
  longer: number,
  wider: number,
  usual: { readonly length_mm: number; readonly width_mm: number },
): AreaPlan {
  const grown = (size: number | null, by: number, start: number): AreaPlan["length_mm"] =>
    by === 0 ? (size as AreaPlan["length_mm"]) : mm(clamp((size ?? start) + by, 0, LONGEST_MM));
  return {
    ...area,
    length_mm: grown(area.length_mm, longer, usual.length_mm),
    width_mm: grown(area.width_mm, wider, usual.width_mm),
  };
}

/** The plan of an area pressed in further (loads) or spared further (relief); never past zero. */
export function deepenedArea(area: AreaPlan, by: number, loads: boolean): AreaPlan {
  const size = clamp(Math.abs(area.depth_mm) + by, 0, DEEPEST_MM);
  return { ...area, depth_mm: mm(loads && size !== 0 ? -size : size) };
}

/** The short way round the limb's axis from one point to another, radians. */
export function turnBetween(from: Point, to: Point): number {
  return shortTurn(Math.atan2(to[1], to[0]) - Math.atan2(from[1], from[0]));
}

/** The same turn as at most half a turn either way. */
export function shortTurn(turn: number): number {
  return Math.atan2(Math.sin(turn), Math.cos(turn));
}

function within(value: number, limit: number): number {
  return Math.round(10 * clamp(value, -limit, limit)) / 10;
}

export function clamp(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value));
}
