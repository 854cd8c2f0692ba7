import { describe, expect, it } from "vitest";
import type { TakeUpPoint } from "../../api/document";
import { movedPoint, ranges } from "./take-up";

const points = [
  { level_mm: 0, girth_percent: 1 },
  { level_mm: 50, girth_percent: 3 },
  { level_mm: 120, girth_percent: 2 },
] as unknown as TakeUpPoint[];

describe("the take-up curve's points", () => {
  it("move by whole millimetres and tenths of a percent", () => {
    expect(movedPoint(points, 1, 61.6, 2.46, 140)).toEqual({ level_mm: 62, girth_percent: 2.5 });
  });

  it("never pass a neighbour nor leave the limb", () => {
    expect(movedPoint(points, 1, 200, 3, 140).level_mm).toBe(115);
    expect(movedPoint(points, 1, -99, 3, 140).level_mm).toBe(5);
    expect(movedPoint(points, 2, 999, 3, 140).level_mm).toBe(140);
    expect(movedPoint(points, 0, -999, 3, 140).level_mm).toBe(-40);
  });

  it("have room around them", () => {
    expect(ranges(points, 140)).toEqual({ percent: [-2, 8], level: [-40, 140] });
  });
});
