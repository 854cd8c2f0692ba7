/** Points of the take-up curve: what is shown, and where one may be moved. Pure. */

import type { TakeUpPoint } from "../../api/document";
import { mm, percent } from "../../units/quantities";

const ABOVE_MM = -40;
const LEAST_APART_MM = 5;
const PERCENT = [-5, 15] as const;

export interface Ranges {
  readonly percent: readonly [number, number];
  readonly level: readonly [number, number];
}

/** Axes that hold every point with some room to drag it. */
export function ranges(points: readonly TakeUpPoint[], lowestMm: number): Ranges {
  const percents = points.map(({ girth_percent }) => girth_percent as number);
  const levels = points.map(({ level_mm }) => level_mm as number);
  return {
    percent: [
      Math.min(-2, ...percents.map((one) => one - 1)),
      Math.max(8, ...percents.map((one) => one + 1)),
    ],
    level: [Math.min(ABOVE_MM, ...levels), Math.max(lowestMm, ...levels)],
  };
}

/** A point elsewhere: whole millimetres, tenths of a percent, never past its neighbours. */
export function movedPoint(
  points: readonly TakeUpPoint[],
  index: number,
  levelMm: number,
  girthPercent: number,
  lowestMm: number,
): TakeUpPoint {
  const own = points[index]?.level_mm ?? 0;
  const others = points.filter((_, i) => i !== index).map(({ level_mm }) => level_mm as number);
  const above = Math.max(ABOVE_MM - LEAST_APART_MM, ...others.filter((level) => level < own));
  const below = Math.min(lowestMm + LEAST_APART_MM, ...others.filter((level) => level > own));
  const level = Math.min(below - LEAST_APART_MM, Math.max(above + LEAST_APART_MM, levelMm));
  const girth = Math.min(PERCENT[1], Math.max(PERCENT[0], girthPercent));
  return { level_mm: mm(Math.round(level)), girth_percent: percent(Math.round(10 * girth) / 10) };
}
