import { describe, expect, it, vi } from "vitest";
import { METRIC } from "../units/display";
import type { Units } from "../units/units-context";
import { type Adjuster, type Handling, stepsIn } from "./handling";
import { handlePictureKey } from "./picture-keys";

const adjuster = (): Adjuster => ({
  name: "Length",
  value: "4.0 mm",
  less: "Shorter",
  more: "Longer",
  by: vi.fn(),
});

const handling = (part: Partial<Handling> = {}): Handling => ({
  marker: "area:popliteal",
  title: "Popliteal",
  place: [],
  aside: true,
  move: vi.fn(),
  length: adjuster(),
  width: adjuster(),
  depth: adjuster(),
  ...part,
});

const steps = { move: [1, 5], stretch: 2, deepen: 0.5 } as const;
const shift = (key: string, altKey = false) => ({ key, shiftKey: true, altKey });

describe("keys with Shift on what is selected", () => {
  it("move it by the fine step on the screen", () => {
    const area = handling();
    expect(handlePictureKey(shift("ArrowLeft"), area, steps)).toBe(true);
    expect(area.move).toHaveBeenCalledWith(-1, 0);
    handlePictureKey(shift("ArrowUp"), area, steps);
    expect(area.move).toHaveBeenLastCalledWith(0, 1);
  });

  it("stretch an area with Alt: along by up and down, across by left and right", () => {
    const area = handling();
    handlePictureKey(shift("ArrowDown", true), area, steps);
    expect(area.length?.by).toHaveBeenCalledWith(-1);
    handlePictureKey(shift("ArrowRight", true), area, steps);
    expect(area.width?.by).toHaveBeenCalledWith(1);
    expect(area.move).not.toHaveBeenCalled();
  });

  it("deepen and flatten by the page keys", () => {
    const area = handling();
    handlePictureKey(shift("PageUp"), area, steps);
    handlePictureKey(shift("PageDown"), area, steps);
    expect(area.depth?.by).toHaveBeenNthCalledWith(1, 1);
    expect(area.depth?.by).toHaveBeenNthCalledWith(2, -1);
  });

  it("leave to the camera what means nothing here", () => {
    const trim = handling({ aside: false, length: null, width: null, depth: null });
    expect(handlePictureKey(shift("ArrowLeft"), trim, steps)).toBe(false);
    expect(handlePictureKey(shift("PageUp"), trim, steps)).toBe(false);
    expect(handlePictureKey({ ...shift("ArrowUp"), shiftKey: false }, trim, steps)).toBe(false);
    expect(handlePictureKey(shift("ArrowUp"), null, steps)).toBe(false);
    expect(trim.move).not.toHaveBeenCalled();
  });
});

describe("steps", () => {
  const units = (length: "mm" | "inch") => ({ choice: { ...METRIC, length } }) as Units;

  it("are round in the unit shown, and about as large in inches", () => {
    expect(stepsIn(units("mm"))).toEqual({ move: [1, 5], stretch: 2, deepen: 0.5 });
    const inches = stepsIn(units("inch"));
    // 0.04 in and 0.20 in of 25.4 mm each.
    expect(inches.move[0]).toBeCloseTo(1.016, 6);
    expect(inches.move[1]).toBeCloseTo(5.08, 6);
  });
});
