import { describe, expect, it } from "vitest";
import { INITIAL_VIEW, withMeasuring, withTouched } from "../case/view-settings";
import { mm } from "../units/quantities";
import { measuredWords } from "./measuring";

describe("measuring", () => {
  it("takes two points, and begins anew with the third", () => {
    const begun = withMeasuring(INITIAL_VIEW);
    expect(begun.measured).toEqual([]);
    const two = withTouched(withTouched(begun, [1, 2, 3]), [4, 5, 6]);
    expect(two.measured).toEqual([
      [1, 2, 3],
      [4, 5, 6],
    ]);
    expect(withTouched(two, [7, 8, 9]).measured).toEqual([[7, 8, 9]]);
    expect(withMeasuring(two).measured).toBeNull();
  });

  it("leaves a touch alone while nothing is measured", () => {
    expect(withTouched(INITIAL_VIEW, [1, 2, 3])).toBe(INITIAL_VIEW);
  });

  it("says so when no way along the skin joins the points", () => {
    const text = (value: number): string => `${value.toString()} mm`;
    expect(
      measuredWords({ straight_mm: mm(5), surface_mm: mm(7), way_patient_mm: null }, text),
    ).toBe("5 mm straight, 7 mm along the skin.");
    expect(
      measuredWords({ straight_mm: mm(5), surface_mm: null, way_patient_mm: null }, text),
    ).toContain("no way");
  });
});
