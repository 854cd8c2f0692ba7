import { describe, expect, it } from "vitest";
import { lensCorner } from "./lens";

const SIZE = 136;

describe("the lens", () => {
  it("stands above the finger, inside the picture", () => {
    const corner = lensCorner({ x: 10, y: 300 }, 560, 450);
    expect(corner.x).toBeGreaterThanOrEqual(0);
    expect(corner.y + SIZE).toBeLessThan(300 - 30);
    expect(lensCorner({ x: 550, y: 300 }, 560, 450).x + SIZE).toBeLessThanOrEqual(560);
  });

  it("stands beside a finger near the upper edge, on the side with room", () => {
    const right = lensCorner({ x: 150, y: 60 }, 560, 450);
    expect(right.x).toBeGreaterThan(150 + 30);
    const left = lensCorner({ x: 450, y: 60 }, 560, 450);
    expect(left.x + SIZE).toBeLessThan(450 - 30);
    expect(left.y).toBeGreaterThanOrEqual(0);
  });
});
