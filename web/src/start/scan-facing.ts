/** Which way a raw scan faces, by the landmarks touched on it and the side that was given. */

import type { Point, Side } from "../api/document";
import type { Facing } from "../viewer/scene";

/** So far above and below a landmark the limb's outline counts as the one at its level. */
const LEVEL_MM = 15;

export interface ScanFacing {
  /** The side as given, else as the landmarks lie, else null. */
  readonly side: Side | null;
  /** The side was not given. */
  readonly guess: boolean;
  /** The landmarks lie as on the other limb than the one given. */
  readonly contradicted: boolean;
  readonly facing: Facing;
}

type Placed = Readonly<Record<string, Point>>;

/**
 * The front is where the mid-patellar tendon lies, the outer side where the fibular head does;
 * until they are touched nothing of a scan tells them, and what is shown is marked as a guess.
 */
export function scanFacing(
  positions: Float32Array,
  points: Placed,
  given: Side | null,
): ScanFacing {
  const { mid_patellar_tendon: tendon, fibular_head: fibula } = points;
  const turnRad = tendon === undefined ? 0 : turnTo(away(positions, tendon));
  const lies =
    tendon === undefined || fibula === undefined ? null : sideOf(away(positions, fibula), turnRad);
  const side = given ?? lies;
  const guessed = [
    ...(given === null || tendon === undefined ? (["outer"] as const) : []),
    ...(tendon === undefined ? (["front", "up"] as const) : []),
  ];
  return {
    side,
    guess: given === null,
    contradicted: given !== null && lies !== null && lies !== given,
    facing: { outward: side === "left" ? -1 : 1, turnRad, guessed },
  };
}

type Flat = readonly [number, number];

/** From the middle of the limb at a landmark's level to the landmark. */
function away(positions: Float32Array, [x, y, z]: Point): Flat {
  const low = [x, y];
  const high = [x, y];
  for (let i = 0; i + 2 < positions.length; i += 3) {
    if (Math.abs((positions[i + 2] ?? 0) - z) < LEVEL_MM) {
      for (const axis of [0, 1] as const) {
        const value = positions[i + axis] ?? 0;
        low[axis] = Math.min(low[axis] ?? value, value);
        high[axis] = Math.max(high[axis] ?? value, value);
      }
    }
  }
  const middle = (axis: 0 | 1): number => ((low[axis] ?? 0) + (high[axis] ?? 0)) / 2;
  return [x - middle(0), y - middle(1)];
}

/** How far a direction is turned from y about the vertical. */
function turnTo([x, y]: Flat): number {
  return Math.atan2(-x, y);
}

/** Seen with the front ahead, the fibular head lies on the right of a right limb. */
function sideOf([x, y]: Flat, turnRad: number): Side {
  return x * Math.cos(turnRad) + y * Math.sin(turnRad) > 0 ? "right" : "left";
}
