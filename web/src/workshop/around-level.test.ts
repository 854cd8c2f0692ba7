import { describe, expect, it } from "vitest";
import type { RawArray } from "../api/client";
import { aroundLevel, aroundWords } from "./around-level";

const SIDES = 72;

/** A tube whose pressure falls from its front to its back and whose offset is its patient x. */
function tube(): Map<string, RawArray> {
  const angles = Array.from({ length: SIDES }, (_, i) => (2 * Math.PI * i) / SIDES);
  const ring = (z: number): number[] =>
    angles.flatMap((a) => [40 * Math.cos(a), 40 * Math.sin(a), z]);
  const faces = angles.flatMap((_, i) => {
    const next = (i + 1) % SIDES;
    return [i, next, next + SIDES, i, next + SIDES, i + SIDES];
  });
  const twice = (read: (a: number) => number): Float32Array =>
    new Float32Array([...angles, ...angles].map(read));
  return new Map<string, RawArray>([
    ["rectified.positions", new Float32Array([...ring(-100), ...ring(0)])],
    ["limb.faces", new Uint32Array(faces)],
    ["displacement", twice(Math.cos)],
    ["pressure.standing", twice((a) => 50 + 30 * Math.sin(a))],
  ]);
}

describe("what is read around a level", () => {
  it("counts from outward towards the front, on either side of the body", () => {
    const right = aroundLevel(tube(), "right", 40, "standing");
    const left = aroundLevel(tube(), "left", 40, "standing");
    const at = (degrees: number): number => degrees / 5;
    expect(right?.pressure[at(90)]).toBeCloseTo(80, 0);
    expect(right?.pressure[at(270)]).toBeCloseTo(20, 0);
    // The patient's right is outward of a right limb and inward of a left one.
    expect(right?.offset[at(0)]).toBeCloseTo(1, 1);
    expect(left?.offset[at(0)]).toBeCloseTo(-1, 1);
    expect(left?.pressure[at(90)]).toBeCloseTo(80, 0);
    expect(right?.offset[at(360)]).toBe(right?.offset[0]);
  });

  it("is nothing where the level misses the limb or an array is missing", () => {
    expect(aroundLevel(tube(), "right", 400, "standing")).toBeNull();
    const without = tube();
    without.delete("limb.faces");
    expect(aroundLevel(without, "right", 40, "standing")).toBeNull();
  });

  it("names an angle by the sides it lies between", () => {
    expect(aroundWords(90)).toBe("on the anterior side");
    expect(aroundWords(100)).toBe("10° from anterior to medial");
    expect(aroundWords(360)).toBe("on the lateral side");
  });
});
