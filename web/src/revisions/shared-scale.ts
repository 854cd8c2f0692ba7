/** One scale for two pictures, so that the same colour means the same on both sides. Pure. */

import type { Painting } from "../workshop/painting";

/** Both paintings on the wider of their ramps; what one side lacks stays plain. */
export function onOneScale(
  before: Painting | null,
  after: Painting | null,
): readonly [Painting | null, Painting | null] {
  if (before === null || after === null) {
    return [before, after];
  }
  const [first, second] = [before.paint.ramp, after.paint.ramp];
  const ramp = second.high > first.high ? second : first;
  return [
    { ...before, paint: { ...before.paint, ramp } },
    { ...after, paint: { ...after.paint, ramp } },
  ];
}
