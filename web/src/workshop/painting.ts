/** From arrays and results to what colours the limb. Looks values up; computes no physics. */

import type { Proof } from "../api/results";
import type { ArraySet } from "../state/array-store";
import { bandsTo, bothWays, shareBands } from "../viewer/ramps";
import type { Paint } from "../viewer/scene";
import { areaArray, type Colouring, pressureArray } from "./view-settings";

/** A vertex belongs to an area where the area's weight is at least this. */
const IN_AREA = 0.5;

export interface Painting {
  readonly paint: Paint;
  readonly title: string;
  readonly unit: string;
}

export function floats(arrays: ArraySet, name: string): Float32Array | null {
  const values = arrays.get(name);
  return values instanceof Float32Array ? values : null;
}

export function paintingOf(
  colouring: Colouring,
  loadCase: string,
  arrays: ArraySet,
  proof: Proof | null,
): Painting | null {
  switch (colouring) {
    case "plain":
      return null;
    case "depth": {
      const values = floats(arrays, "displacement");
      return (
        values && { paint: { values, ramp: bothWays(largest(values)) }, title: "Depth", unit: "mm" }
      );
    }
    case "pressure": {
      const values = floats(arrays, pressureArray(loadCase));
      const top = largestOverCases(proof) ?? (values === null ? 0 : largest(values));
      return values && { paint: { values, ramp: bandsTo(top) }, title: "Pressure", unit: "kPa" };
    }
    case "share":
      return proof === null ? null : sharePainting(loadCase, arrays, proof);
  }
}

/** The area that a vertex belongs to, by the largest weight. */
export function areaAt(arrays: ArraySet, areas: readonly string[], vertex: number): string | null {
  let best: string | null = null;
  let weight = IN_AREA;
  for (const area of areas) {
    const here = floats(arrays, areaArray(area))?.[vertex] ?? 0;
    if (here >= weight) {
      best = area;
      weight = here;
    }
  }
  return best;
}

/** Each area in the colour of its own share of its own limit; places without a limit stay plain. */
function sharePainting(loadCase: string, arrays: ArraySet, proof: Proof): Painting | null {
  const pressures = proof.interface.cases.find((one) => one.load_case === loadCase)?.areas ?? [];
  const count = (floats(arrays, "limb.positions")?.length ?? 0) / 3;
  const values = new Float32Array(count);
  const cover = new Float32Array(count);
  const heaviest = new Float32Array(count);
  for (const { area, share } of pressures) {
    const weights = floats(arrays, areaArray(area));
    for (let i = 0; weights !== null && i < count; i += 1) {
      const weight = weights[i] ?? 0;
      if (weight > (heaviest[i] ?? 1)) {
        heaviest[i] = weight;
        // Kept beyond the area's edge too, so that the edge itself is drawn in the area's colour.
        values[i] = share ?? values[i] ?? 0;
        cover[i] = share === null ? 0 : weight;
      }
    }
  }
  return { paint: { values, cover, ramp: shareBands() }, title: "Share of limit", unit: "" };
}

/** One range for all load cases, so that colours can be compared between them. */
function largestOverCases(proof: Proof | null): number | null {
  const peaks = (proof?.interface.cases ?? []).flatMap((one) =>
    one.areas.map((area) => area.peak_kpa),
  );
  return peaks.length === 0 ? null : Math.max(...peaks);
}

function largest(values: Float32Array): number {
  let most = 0;
  for (const value of values) {
    most = Math.max(most, Math.abs(value));
  }
  return most;
}
