/** What is wrong with a size of an area as entered, in the entry's own sense. Pure. */

const DEEPEST_MM = 20;

/** What the plan takes, mm. */
export const BOUNDS_MM = {
  length_mm: [0, 250],
  width_mm: [0, 150],
  blend_mm: [4, 60],
  move_distal_mm: [-60, 60],
  move_around_mm: [-60, 60],
} as const;

/** A sentence where a size lies outside of its bounds, else null. */
export function boundsWords(
  sizeMm: number,
  [low, high]: readonly [number, number],
  text: (mm: number) => string,
): string | null {
  return sizeMm >= low && sizeMm <= high
    ? null
    : `From ${text(low)} to ${text(high)} can be used; nothing was changed.`;
}

/** The depth's entry is a size, whatever its sign in the plan; null when it can be used. */
export function depthWords(
  sizeMm: number,
  loads: boolean,
  text: (mm: number) => string,
): string | null {
  if (sizeMm < 0) {
    return loads
      ? "A load area only presses in: give 0 or more."
      : "A relief area only adds space: give 0 or more.";
  }
  if (sizeMm > DEEPEST_MM) {
    const what = loads ? "Pressed in" : "Space added";
    return `${what} by at most ${text(DEEPEST_MM)}; nothing was changed.`;
  }
  return null;
}
