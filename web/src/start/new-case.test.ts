import { describe, expect, it } from "vitest";
import type { Point } from "../api/document";
import { inScan } from "./new-case";
import { dayWords } from "./when";

// A quarter turn about z: the scan's x stands along the picture's y.
const turn: readonly Point[] = [
  [0, -1, 0],
  [1, 0, 0],
  [0, 0, 1],
];

describe("a landmark touched in the picture", () => {
  it("goes back to the scan's own frame", () => {
    const { tendon } = inScan({ tendon: [-2, 1, 3] }, { turn, unit: "mm" }, null);
    expect(tendon).toEqual([1, 2, 3]);
  });

  it("is scaled along when another unit is stated than was found", () => {
    const { tendon } = inScan({ tendon: [-2, 1, 3] }, { turn, unit: "mm" }, "inch");
    expect(tendon?.map((value) => Number(value.toFixed(6)))).toEqual([25.4, 50.8, 76.2]);
  });
});

describe("when a case was changed", () => {
  const now = new Date(2026, 4, 20, 15, 0);
  it("says today and yesterday, and else the day", () => {
    expect(dayWords(new Date(2026, 4, 20, 0, 5).toISOString(), now)).toMatch(/^today /);
    expect(dayWords(new Date(2026, 4, 19, 23, 55).toISOString(), now)).toMatch(/^yesterday /);
    expect(dayWords(new Date(2026, 4, 18, 12, 0).toISOString(), now)).toContain("2026");
  });
});
