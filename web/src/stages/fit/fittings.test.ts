import { describe, expect, it } from "vitest";
import type { CaseDocument, HandChange } from "../../api/document";
import { smallDocument } from "../../state/testing";
import { mm } from "../../units/quantities";
import { depthWith, freshFitting, isEmpty, withEntered } from "./fittings";

const GROUND: HandChange = { what: "", area: "popliteal", depth_mm: mm(1.5), entered: false };

function logged(change: HandChange): CaseDocument {
  return {
    ...smallDocument(),
    fit: { fittings: [freshFitting(), { ...freshFitting(), changes: [change] }] },
  };
}

describe("a fitting", () => {
  it("begins empty and asks what was worn", () => {
    expect(isEmpty(freshFitting())).toBe(true);
    expect(freshFitting().revision).toBeNull();
    expect(freshFitting().date).toMatch(/^\d{4}-\d\d-\d\d$/);
  });

  it.each([{ comfort: 0 }, { note: "x" }, { changes: [GROUND] }])(
    "is not empty with %o",
    (part) => {
      expect(isEmpty({ ...freshFitting(), ...part })).toBe(false);
    },
  );
});

describe("a change by hand", () => {
  it("is entered into its area's depth and marked, and nothing else changes", () => {
    const before = logged(GROUND);
    expect(depthWith(before, GROUND)).toBe(-2.5);
    const after = withEntered(before, 1, 0);
    expect(after.shape.areas[0]?.depth_mm).toBe(-2.5);
    expect(after.fit.fittings[1]?.changes[0]?.entered).toBe(true);
    expect(after.fit.fittings[0]).toBe(before.fit.fittings[0]);
  });

  it.each([
    { ...GROUND, area: null, what: "heated" },
    { ...GROUND, depth_mm: null },
    { ...GROUND, area: "fibular_head" },
  ])("cannot be entered where the plan has no place for it", (change) => {
    const before = logged(change);
    expect(depthWith(before, change)).toBeNull();
    expect(withEntered(before, 1, 0)).toBe(before);
  });
});
