import { describe, expect, it } from "vitest";
import type { ArraySet } from "../api/client";
import type { Limb, Made, Proof } from "../api/results";
import { areaAt, paintingOf } from "./painting";

const arrays: ArraySet = new Map([
  ["limb.positions", new Float32Array(12)],
  ["area.a.weight", new Float32Array([1, 0.6, 0.2, 0])],
  ["area.b.weight", new Float32Array([0, 0.9, 0.4, 0])],
  ["pressure.standing", new Float32Array([10, 90, 20, 0])],
]);

const proof = {
  interface: {
    cases: [
      {
        load_case: "standing",
        areas: [
          { area: "a", peak_kpa: 90, share: 0.75 },
          { area: "b", peak_kpa: 260, share: null },
        ],
      },
    ],
  },
} as unknown as Proof;

describe("painting the limb", () => {
  it("colours the cover over bone up to a bound and says what the bones rest on", () => {
    const cover: ArraySet = new Map([["cover.mm", new Float32Array([2, 20, 60])]]);
    const limb = { bones: { basis: "estimated", cover_sd_mm: 3 } } as unknown as Limb;
    const painting = paintingOf("cover", "standing", cover, null, undefined, { limb, made: null });
    expect(painting?.paint.ramp.high).toBe(35);
    const { note } = painting ?? {};
    expect(typeof note === "function" ? note((mm) => `${mm.toString()} mm`) : note).toBe(
      "Bones are estimated, ± 3 mm (one SD). Lightest: this and more.",
    );
  });

  it("shows what is tried instead of what stands, on a scale that reaches both", () => {
    const beside = (tried: Float32Array | null) => ({ limb: null, made: null, tried });
    const values = new Float32Array([10, 300, 20, 0]);
    const painting = paintingOf("pressure", "standing", arrays, proof, undefined, beside(values));
    expect(painting?.title).toBe("Pressure as tried");
    expect(painting?.paint.values).toBe(values);
    expect(painting?.paint.ramp.high).toBeGreaterThanOrEqual(300);
    // A load that finds no equilibrium then has no pressures, and never those that stand.
    expect(paintingOf("pressure", "standing", arrays, proof, undefined, beside(null))).toBeNull();
  });

  it("colours the made shell alone by its wall, and leaves the coupling's seat plain", () => {
    const walls: ArraySet = new Map([["made.wall_mm", new Float32Array([4, 5, 30, 4])]]);
    const made = { wall_median_mm: 4 } as unknown as Made;
    const painting = paintingOf("thickness", "standing", walls, null, undefined, {
      limb: null,
      made,
    });
    expect([...(painting?.paint.cover ?? [])]).toEqual([1, 1, 0, 1]);
    expect(painting?.paint.only).toBe("made");
    expect(paintingOf("thickness", "standing", walls, null)).toBeNull();
  });

  it("gives a vertex to the area that weighs most there, and to none below one half", () => {
    expect([0, 1, 2, 3].map((vertex) => areaAt(arrays, ["a", "b"], vertex))).toEqual([
      "a",
      "b",
      null,
      null,
    ]);
  });

  it("shows the share of an area with a limit and leaves the rest plain", () => {
    const painting = paintingOf("share", "standing", arrays, proof);
    // The second vertex belongs to the area without a limit, the third to none.
    expect([...(painting?.paint.cover ?? [])].map((one) => one >= 0.5)).toEqual([
      true,
      false,
      false,
      false,
    ]);
    expect(painting?.paint.values[0]).toBeCloseTo(0.75);
  });

  it("keeps one pressure range over all load cases", () => {
    const painting = paintingOf("pressure", "standing", arrays, proof);
    expect(painting?.paint.ramp.high).toBeGreaterThanOrEqual(260);
    expect(painting?.unit).toBe("kPa");
  });

  it("paints nothing for a load case that was not computed", () => {
    expect(paintingOf("pressure", "swing", arrays, proof)).toBeNull();
  });

  it("shows pressure less that of another revision, both ways about nothing", () => {
    const earlier: ArraySet = new Map([["earlier.standing", new Float32Array([4, 100, 20, 0])]]);
    const painting = paintingOf("change", "standing", arrays, proof, earlier);
    expect([...(painting?.paint.values ?? [])]).toEqual([6, -10, 0, 0]);
    expect(painting?.paint.ramp.low).toBe(-(painting?.paint.ramp.high ?? 0));
    expect(painting?.ends).toEqual({ low: "less than before", high: "more than before" });
  });

  it("lets a change that another search alone may give fill no scale", () => {
    const earlier: ArraySet = new Map([["earlier.standing", new Float32Array([9, 90, 20, 0])]]);
    const painting = paintingOf("change", "standing", arrays, proof, earlier);
    expect(painting?.paint.values[0]).toBe(1);
    expect(painting?.paint.ramp.high).toBeGreaterThanOrEqual(10);
  });

  it("shows no change while the other revision is unknown or of another surface", () => {
    expect(paintingOf("change", "standing", arrays, proof)).toBeNull();
    const other: ArraySet = new Map([["earlier.standing", new Float32Array(3)]]);
    expect(paintingOf("change", "standing", arrays, proof, other)).toBeNull();
  });

  it("leaves places of the wall plain where nothing is established", () => {
    const nothing = Number.NaN;
    const wall = (shares: number[]): ArraySet =>
      new Map([["strength.share", new Float32Array(shares)]]);
    const painting = paintingOf("wall", "standing", wall([0.5, nothing, 1.25, 0]), null);
    expect([...(painting?.paint.cover ?? [])]).toEqual([1, 0, 1, 1]);
    expect([...(painting?.paint.values ?? [])]).toEqual([0.5, 0, 1.25, 0]);
    expect(paintingOf("wall", "standing", wall([nothing, nothing]), null)).toBeNull();
  });
});
