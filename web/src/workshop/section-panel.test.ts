import { describe, expect, it } from "vitest";
import { nearestWay } from "./section-panel";

describe("the way of a cross-section that is read", () => {
  it("is the nearest by the angle from outward to front", () => {
    expect(nearestWay(72, 50, 0)).toBe(0);
    expect(nearestWay(72, 0, 3)).toBe(18);
    expect(nearestWay(72, -20, 0)).toBe(36);
    expect(nearestWay(72, 0, -20)).toBe(54);
    // A little behind outward is nearer to outward than to the last place before it.
    expect(nearestWay(72, 50, -1)).toBe(0);
    expect(nearestWay(72, 50, -4)).toBe(71);
  });
});
