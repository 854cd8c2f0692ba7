import { describe, expect, it } from "vitest";
import { besideFinger } from "./readout";

const size = { wide: 120, high: 40 };
const most = { x: 400 - 120, y: 500 - 40 };
const finger = { x: 100, y: 250 };

describe("what a finger has read", () => {
  it("stands beside the lens where nothing is in the way", () => {
    expect(besideFinger(finger, size, most, [])).toEqual({ x: 178, y: 130 });
  });

  it("gets out of the way of a caption", () => {
    const caption = { left: 200, right: 260, top: 140, bottom: 158 };
    const { x, y } = besideFinger(finger, size, most, [caption]);
    expect(x + size.wide <= 200 || x >= 260 || y + size.high <= 140 || y >= 158).toBe(true);
  });

  it("never lies under the finger, even where captions stand all around", () => {
    const all = { left: 0, right: 400, top: 0, bottom: 500 };
    for (const x of [20, 60, 100, 140]) {
      const narrow = { x: 160 - size.wide, y: 200 - size.high };
      const place = besideFinger({ x, y: 120 }, size, narrow, [all]);
      const clear = place.y + size.high <= 120 - 22 || place.y >= 120 + 22;
      expect(clear || place.x >= x + 22 || place.x + size.wide <= x - 22).toBe(true);
    }
  });
});
