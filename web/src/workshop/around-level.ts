/** What is read around the limb at one level, from the arrays that colour it. Pure. */

import type { ArraySet } from "../api/client";
import type { Side } from "../api/document";
import { pressureArray } from "../state/array-names";
import { isoLines } from "./iso-lines";
import { floats } from "./painting";

export interface Around {
  /** From outward towards the front, degrees, from 0 to 360. */
  readonly angles: readonly number[];
  /** Space added, or pressed in where negative, mm. */
  readonly offset: readonly number[];
  /** kPa. */
  readonly pressure: readonly number[];
}

const STEP_DEG = 5;

export const AROUND_MARKS = [
  { at: 0, word: "lateral" },
  { at: 90, word: "anterior" },
  { at: 180, word: "medial" },
  { at: 270, word: "posterior" },
  { at: 360, word: "lateral" },
] as const;

/** Offset and pressure around the limb at a level; null where the level misses it. */
export function aroundLevel(
  arrays: ArraySet,
  side: Side,
  levelMm: number,
  loadCase: string,
): Around | null {
  const positions = floats(arrays, "rectified.positions") ?? floats(arrays, "limb.positions");
  const faces = arrays.get("limb.faces");
  if (positions === null || !(faces instanceof Uint32Array)) {
    return null;
  }
  const height = (i: number): number => positions[i * 3 + 2] ?? 0;
  const read = (values: Float32Array | null): number[] | null => {
    const lines = isoLines({ positions, faces }, height, -levelMm, values);
    const longest = [...lines].sort((a, b) => b.positions.length - a.positions.length)[0];
    return longest === undefined || longest.positions.length < 9
      ? null
      : byAngle(longest.positions, longest.carried, side === "right" ? 1 : -1);
  };
  const offset = read(floats(arrays, "displacement"));
  const pressure = read(floats(arrays, pressureArray(loadCase)));
  if (offset === null || pressure === null) {
    return null;
  }
  const angles = Array.from({ length: 360 / STEP_DEG + 1 }, (_, i) => i * STEP_DEG);
  return { angles, offset, pressure };
}

/** Values at even angles about the line's middle, linear between the nearest on either side. */
function byAngle(positions: Float32Array, values: Float32Array, outward: 1 | -1): number[] {
  const count = values.length;
  const middle = [0, 1].map((k) => {
    const parts = Array.from({ length: count }, (_, i) => positions[i * 3 + k] ?? 0);
    return (Math.min(...parts) + Math.max(...parts)) / 2;
  });
  const known = Array.from({ length: count }, (_, i) => {
    const x = outward * ((positions[i * 3] ?? 0) - (middle[0] ?? 0));
    const y = (positions[i * 3 + 1] ?? 0) - (middle[1] ?? 0);
    return { angle: ((Math.atan2(y, x) * 180) / Math.PI + 360) % 360, value: values[i] ?? 0 };
  }).sort((a, b) => a.angle - b.angle);
  const [first, last] = [known[0], known[known.length - 1]];
  if (first === undefined || last === undefined) {
    return [];
  }
  const ring = [
    { ...last, angle: last.angle - 360 },
    ...known,
    { ...first, angle: first.angle + 360 },
  ];
  return Array.from({ length: 360 / STEP_DEG + 1 }, (_, i) => {
    const wanted = (i * STEP_DEG) % 360;
    const next = ring.findIndex(({ angle }) => angle >= wanted);
    const [low, high] = [ring[next - 1] ?? first, ring[next] ?? last];
    const share = high.angle === low.angle ? 0 : (wanted - low.angle) / (high.angle - low.angle);
    return low.value + share * (high.value - low.value);
  });
}

/** An angle in words: between which of the four sides, and how far. */
export function aroundWords(angleDeg: number): string {
  const at = AROUND_MARKS.find((mark) => Math.abs(mark.at - angleDeg) < STEP_DEG / 2);
  if (at !== undefined) {
    return `on the ${at.word} side`;
  }
  const before = AROUND_MARKS[Math.floor(angleDeg / 90)] ?? AROUND_MARKS[0];
  const after = AROUND_MARKS[Math.floor(angleDeg / 90) + 1] ?? AROUND_MARKS[4];
  return `${Math.round(angleDeg - before.at).toString()}° from ${before.word} to ${after.word}`;
}
