import { describe, expect, it, vi } from "vitest";
import { handleCrossHairKey } from "./cross-hair";

const press = (key: string, held: { shiftKey?: boolean; altKey?: boolean } = {}) => ({
  key,
  shiftKey: false,
  altKey: false,
  ...held,
});
const aimed = (hits = true) => ({ shift: vi.fn(), touchMiddle: vi.fn(() => hits) });

describe("the keys of the cross-hair", () => {
  it("touch what lies under it with Enter, and say when nothing does", () => {
    expect(handleCrossHairKey(press("Enter"), aimed())).toBe("touched");
    expect(handleCrossHairKey(press("Enter"), aimed(false))).toBe("missed");
  });

  it("bring what lies above under it with Shift and the upward arrow, finely with Alt", () => {
    const viewer = aimed();
    expect(handleCrossHairKey(press("ArrowUp", { shiftKey: true }), viewer)).toBe("moved");
    handleCrossHairKey(press("ArrowLeft", { shiftKey: true, altKey: true }), viewer);
    const [[, up], [left]] = viewer.shift.mock.calls as [[number, number], [number, number]];
    expect(up).toBeGreaterThan(0);
    expect(left).toBeLessThan(0);
    expect(-left).toBeLessThan(up);
  });

  it("leave plain arrows to turning the picture", () => {
    const viewer = aimed();
    expect(handleCrossHairKey(press("ArrowUp"), viewer)).toBeNull();
    expect(viewer.shift).not.toHaveBeenCalled();
  });
});
