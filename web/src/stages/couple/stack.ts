/** From the datum to the floor, part by part, at places to draw it. Pure. */

import type { Basis, Coupling } from "../../api/results";

export interface StackPart {
  readonly name: string;
  readonly topMm: number;
  readonly heightMm: number;
  readonly basis: Basis;
  /** The tube, whose length is what remains. */
  readonly tube: boolean;
}

export interface Stack {
  readonly parts: readonly StackPart[];
  /** From the datum to the end of the last part. */
  readonly lengthMm: number;
  /** How far the parts would reach below the floor; 0 when they fit. */
  readonly beyondMm: number;
}

/** The parts below one another; a tube that cannot be clamped is drawn as short as one can be. */
export function stackOf(height: Coupling["height"]): Stack {
  const tubeMm = Math.max(height.pylon_mm, height.pylon_minimum_mm);
  const at = height.items.findIndex(({ name }) => name === "foot adapter");
  const place = at < 0 ? height.items.length : at;
  const rows = height.items.map((item) => ({
    name: item.name,
    heightMm: item.height_mm as number,
    basis: item.basis,
    tube: false,
  }));
  rows.splice(place, 0, { name: "tube", heightMm: tubeMm, basis: "estimated", tube: true });
  let topMm = 0;
  const parts = rows.map((row) => {
    const part = { ...row, topMm };
    topMm += row.heightMm;
    return part;
  });
  return { parts, lengthMm: topMm, beyondMm: Math.max(0, topMm - height.datum_floor_mm) };
}

/** Places for labels as near to their wanted ones as a least distance between them allows. */
export function spreadLabels(wanted: readonly number[], gap: number, last: number): number[] {
  const placed = [...wanted];
  for (let i = 1; i < placed.length; i += 1) {
    placed[i] = Math.max(placed[i] ?? 0, (placed[i - 1] ?? 0) + gap);
  }
  let limit = last;
  for (let i = placed.length - 1; i >= 0; i -= 1) {
    placed[i] = Math.min(placed[i] ?? 0, limit);
    limit = (placed[i] ?? 0) - gap;
  }
  return placed;
}
