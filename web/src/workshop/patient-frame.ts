import type { Point, Side } from "../api/document";

/**
 * A point of the limb's frame (outward, forward, up) in the patient's (right, forward, up), as the
 * picture and the service's arrays have it: outward of a left limb is to the patient's left.
 */
export function toPatient([outward, forward, up]: Point, side: Side): Point {
  return [side === "right" ? outward : -outward, forward, up];
}

/** The other way round; the reflection is its own inverse. */
export const fromPatient = toPatient;
