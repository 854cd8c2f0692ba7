import { describe, expect, it } from "vitest";
import { smallDocument } from "../../state/testing";
import { withEdits } from "./apply-edits";

describe("the edits of a suggestion", () => {
  it("change what they name and share the rest", () => {
    const before = smallDocument(3);
    const after = withEdits(before, [
      { path: "shape.areas.0.depth_mm", value: -3 },
      { path: "align.foot_inset_mm", value: 5 },
    ]);
    expect(after.shape.areas[0]?.depth_mm).toBe(-3);
    expect(after.align.foot_inset_mm).toBe(5);
    expect(before.shape.areas[0]?.depth_mm).toBe(-4);
    expect(after.capture).toBe(before.capture);
  });

  it("are refused when the case has no such place", () => {
    expect(() => withEdits(smallDocument(), [{ path: "shape.brim.flare_mm", value: 1 }])).toThrow(
      "brim",
    );
  });
});
