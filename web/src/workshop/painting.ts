/** From arrays and results to what colours the limb. Looks values up; computes no physics. */

import type { ArraySet } from "../api/client";
import type { Limb, Made, Proof } from "../api/results";
import type { Colouring } from "../case/view-settings";
import { areaArray, earlierArray, pressureArray } from "../state/array-names";
import { bandsTo, bothWays, shareBands, thinBandsTo } from "../viewer/ramps";
import type { Paint } from "../viewer/scene";

const NO_ARRAYS: ArraySet = new Map();

/** A vertex belongs to an area where the area's weight is at least this. */
export const IN_AREA = 0.5;

type Length = (mm: number) => string;

export interface Painting {
  readonly paint: Paint;
  readonly title: string;
  readonly unit: string;
  /** What the two ends of a ramp that runs both ways mean. */
  readonly ends?: { readonly low: string; readonly high: string };
  /** What the reader must know beside the numbers, lengths in the units shown. */
  readonly note?: string | ((length: Length) => string);
  /** What a value at the pointer is of. */
  readonly says?: string;
  /** What a share is a share of. */
  readonly of?: string;
}

export function floats(arrays: ArraySet, name: string): Float32Array | null {
  const values = arrays.get(name);
  return values instanceof Float32Array ? values : null;
}

interface Beside {
  readonly limb: Limb | null;
  readonly made: Made | null;
  /** Pressures of the leg as it is only tried, instead of those that stand. */
  readonly tried?: Float32Array | null;
}

const NOTHING_BESIDE: Beside = { limb: null, made: null };

export function paintingOf(
  colouring: Colouring,
  loadCase: string,
  arrays: ArraySet,
  proof: Proof | null,
  earlier: ArraySet = NO_ARRAYS,
  { limb, made, tried }: Beside = NOTHING_BESIDE,
): Painting | null {
  switch (colouring) {
    case "plain":
      return null;
    case "depth": {
      const values = floats(arrays, "displacement");
      return (
        values && {
          paint: { values, ramp: bothWays(largest(values)) },
          title: "Depth",
          unit: "mm",
          ends: { low: "pressed in", high: "space added" },
          note: "Liner left out.",
        }
      );
    }
    case "pressure": {
      const values = tried === undefined ? floats(arrays, pressureArray(loadCase)) : tried;
      return values && pressurePainting(values, largestOverCases(proof), tried !== undefined);
    }
    case "change":
      return changePainting(loadCase, arrays, earlier);
    case "cover":
      return coverPainting(arrays, limb);
    case "thickness":
      return thicknessPainting(arrays, made);
    case "wall":
      return wallPainting(arrays);
    case "share":
      return proof === null ? null : sharePainting(loadCase, arrays, proof);
  }
}

/** What is tried may press more than all that stands, and is then seen to. */
function pressurePainting(values: Float32Array, standing: number | null, tried: boolean): Painting {
  const top = Math.max(standing ?? 0, tried || standing === null ? largest(values) : 0);
  const title = tried ? "Pressure as tried" : "Pressure";
  return { paint: { values, ramp: bandsTo(top) }, title, unit: "kPa" };
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

/** Single places may change by this much through another search alone: that fills no scale. */
const LEAST_CHANGE_KPA = 10;

/** Pressure less that of another revision, place by place of the same surface. */
function changePainting(loadCase: string, arrays: ArraySet, earlier: ArraySet): Painting | null {
  const now = floats(arrays, pressureArray(loadCase));
  const before = floats(earlier, earlierArray(loadCase));
  if (now === null || before === null || now.length !== before.length) {
    return null;
  }
  const values = now.map((value, i) => value - (before[i] ?? 0));
  return {
    paint: { values, ramp: bothWays(Math.max(LEAST_CHANGE_KPA, largest(values))) },
    title: "Change of pressure",
    unit: "kPa",
    ends: { low: "less than before", high: "more than before" },
  };
}

/** The thin places matter: all that is thicker than this has one colour. */
const COVER_MM = 35;

/** Tissue between skin and the nearest bone; what the bones rest on is said beside it. */
function coverPainting(arrays: ArraySet, limb: Limb | null): Painting | null {
  const values = floats(arrays, "cover.mm");
  const { basis, cover_sd_mm: spread } = limb?.bones ?? { basis: null, cover_sd_mm: 0 };
  const bones = basis === "given" ? "Bones as given." : "Bones are estimated";
  return (
    values && {
      paint: { values, ramp: thinBandsTo(Math.min(COVER_MM, largest(values))) },
      title: "Cover over bone",
      unit: "mm",
      says: "of tissue over bone",
      note: (length) =>
        [
          basis === "given" || spread === 0 ? bones : `${bones}, ± ${length(spread)} (one SD).`,
          largest(values) > COVER_MM ? "Lightest: this and more." : "",
        ]
          .join(" ")
          .trim(),
    }
  );
}

/** The shell square through at each place; far thicker places, as the coupling's seat, stay plain. */
function thicknessPainting(arrays: ArraySet, made: Made | null): Painting | null {
  const walls = floats(arrays, "made.wall_mm");
  if (walls === null || made === null) {
    return null;
  }
  const most = SEAT_FROM * made.wall_median_mm;
  return {
    paint: {
      values: walls,
      cover: walls.map((wall) => (wall <= most ? 1 : 0)),
      ramp: thinBandsTo(most),
      only: "made",
    },
    title: "Wall as made",
    unit: "mm",
    says: "of wall",
    note: (length) =>
      `Mostly ${length(made.wall_median_mm)}, away from brim and seat. Over ${length(most)}: plain.`,
  };
}

/** So many times the usual wall is no wall any more but the coupling's seat. */
const SEAT_FROM = 2;

/** Stress over what the wall is credited with; places that were not looked at stay plain. */
function wallPainting(arrays: ArraySet): Painting | null {
  const shares = floats(arrays, "strength.share");
  if (shares === null || shares.every(Number.isNaN)) {
    return null;
  }
  const values = shares.map((share) => (Number.isNaN(share) ? 0 : share));
  const cover = shares.map((share) => (Number.isNaN(share) ? 0 : 1));
  return {
    paint: { values, cover, ramp: shareBands() },
    title: "Use of the wall",
    unit: "",
    of: "what the wall is credited with",
    note: "Of what it is credited with.",
  };
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
