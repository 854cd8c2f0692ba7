/** What is wrong with a depth as entered; the entry is a size, whatever its sign in the plan. Pure. */

const DEEPEST_MM = 20;

/** A sentence in the entry's own sense, or null when the depth can be used. */
export function depthWords(sizeMm: number, loads: boolean): string | null {
  if (sizeMm < 0) {
    return loads
      ? "A load area only presses in: give 0 or more."
      : "A relief area only adds space: give 0 or more.";
  }
  if (sizeMm > DEEPEST_MM) {
    const what = loads ? "Pressed in" : "Space added";
    return `${what} by at most ${DEEPEST_MM.toString()} mm; nothing was changed.`;
  }
  return null;
}
