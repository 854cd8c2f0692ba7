import { describe, expect, it } from "vitest";
import { isoLines } from "./iso-lines";

/** A tube of eight sides and three rings, 10 mm apart, radius 20 mm. */
const SIDES = 8;
const positions = new Float32Array(
  [0, 10, 20].flatMap((z) =>
    Array.from({ length: SIDES }, (_, i) => {
      const angle = (2 * Math.PI * i) / SIDES;
      return [20 * Math.cos(angle), 20 * Math.sin(angle), z];
    }).flat(),
  ),
);
const faces = new Uint32Array(
  [0, 1].flatMap((ring) =>
    Array.from({ length: SIDES }, (_, i) => {
      const next = (i + 1) % SIDES;
      const [a, b] = [ring * SIDES + i, ring * SIDES + next];
      return [a, b, b + SIDES, a, b + SIDES, a + SIDES];
    }).flat(),
  ),
);
const height = (i: number): number => positions[i * 3 + 2] ?? 0;

describe("lines of one value on a surface", () => {
  it("close around a tube at the level asked for, on its surface", () => {
    const lines = isoLines({ positions, faces }, height, 4);
    expect(lines).toHaveLength(1);
    expect(lines[0]?.closed).toBe(true);
    const points = lines[0]?.positions ?? new Float32Array();
    expect(points.length / 3).toBe(2 * SIDES);
    for (let i = 0; i < points.length; i += 3) {
      expect(points[i + 2]).toBeCloseTo(4);
      const radius = Math.hypot(points[i] ?? 0, points[i + 1] ?? 0);
      // Between a corner of the octagon and the middle of its side.
      expect(radius).toBeLessThanOrEqual(20.001);
      expect(radius).toBeGreaterThanOrEqual(20 * Math.cos(Math.PI / SIDES) - 0.001);
    }
  });

  it("stay open where they run off the surface", () => {
    const lines = isoLines({ positions, faces }, (i) => positions[i * 3] ?? 0, 3);
    expect(lines).toHaveLength(2);
    expect(lines.every(({ closed }) => !closed)).toBe(true);
  });

  it("are found once where a ring of corners stands exactly at the level", () => {
    const lines = isoLines({ positions, faces }, height, 10);
    expect(lines).toHaveLength(1);
    expect(lines[0]?.closed).toBe(true);
  });

  it("carry a second quantity between the corners", () => {
    const doubled = new Float32Array(positions.length / 3).map((_, i) => 2 * height(i));
    const [line] = isoLines({ positions, faces }, height, 4, doubled);
    expect(line?.carried.every((value) => Math.abs(value - 8) < 1e-4)).toBe(true);
  });

  it("are none where the value is never reached", () => {
    expect(isoLines({ positions, faces }, height, 99)).toEqual([]);
  });
});
