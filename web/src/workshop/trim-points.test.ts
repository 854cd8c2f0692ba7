import { describe, expect, it } from "vitest";
import type { TrimPlan } from "../api/document";
import { movedTrim, onLine, trimControls } from "./trim-points";

const trim = {
  anterior_mm: 30,
  medial_mm: 40,
  lateral_mm: 45,
  posterior_mm: 5,
  extra: [{ angle_deg: 45, height_mm: 20 }],
} as unknown as TrimPlan;

describe("control points of the trim line", () => {
  it("are the four sides and the further ones", () => {
    expect(trimControls(trim).map(({ name, heightMm }) => [name, heightMm])).toEqual([
      ["anterior", 30],
      ["medial", 40],
      ["lateral", 45],
      ["posterior", 5],
      ["extra0", 20],
    ]);
  });

  it("stand on the drawn line at their angle, outward being the side's own", () => {
    const line = new Float32Array([50, 0, 45, 0, 50, 30, -50, 0, 40, 0, -50, 5]);
    expect(onLine(line, 1, 0)).toEqual([50, 0, 45]);
    expect(onLine(line, -1, 0)).toEqual([-50, 0, 40]);
    expect(onLine(line, 1, 270)).toEqual([0, -50, 5]);
    expect(onLine(new Float32Array(), 1, 0)).toBeNull();
  });

  it("change the height of a side alone, and angle and height of a further one", () => {
    expect(movedTrim(trim, "medial", 52.4, 10)).toEqual({ ...trim, medial_mm: 52 });
    expect(movedTrim(trim, "extra0", 25, 61.2).extra).toEqual([{ angle_deg: 61, height_mm: 25 }]);
    expect(movedTrim(trim, "posterior", 900).posterior_mm).toBe(120);
  });
});
