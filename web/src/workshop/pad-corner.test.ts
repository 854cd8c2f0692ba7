import { describe, expect, it } from "vitest";
import { CORNERS, freeCorner, padBox } from "./pad-corner";

const pad = { offsetWidth: 300, offsetHeight: 190 };
const picture = { left: 100, top: 50, width: 560, height: 450, below: 260 };

describe("the step pad's corner", () => {
  it("stays where it is while what it moves is in view", () => {
    for (const corner of CORNERS) {
      const spot = { x: 100 + 280, y: corner.startsWith("top") ? 50 + 300 : 50 + 150 };
      expect(freeCorner(pad, picture, spot, corner)).toBe(corner);
    }
  });

  it("gives way before it covers what it moves", () => {
    const low = { x: 100 + 400, y: 50 + 400 };
    const corner = freeCorner(pad, picture, low, "bottom-right");
    expect(corner).toBe("bottom-left");
    expect(freeCorner(pad, picture, { x: 100 + 280, y: 50 + 400 }, "bottom-right")).toBe(
      "top-right",
    );
  });

  it("goes under the picture when no corner of it is clear", () => {
    const low = { ...picture, height: 400 };
    expect(freeCorner(pad, low, { x: 100 + 280, y: 50 + 200 }, "bottom-right")).toBe("under-right");
    expect(padBox("under-right", pad, low)).toMatchObject({ left: 254, top: 406 });
    expect(padBox("under-right", pad, { ...low, below: 100 }).top).toBe(400 - 96);
  });

  it("takes the corner that is clear by most where none is clear", () => {
    const small = { ...picture, width: 320, height: 240, below: 0 };
    const spot = { x: 100 + 160, y: 50 + 60 };
    expect(freeCorner(pad, small, spot, "bottom-right")).toMatch(/^bottom/);
    expect(freeCorner(pad, small, { ...spot, y: 50 + 200 }, "bottom-right")).toMatch(/^top/);
  });

  it("covers nothing else that stands over the picture", () => {
    const scale = { left: 200, top: 410, right: 320, bottom: 440 };
    const high = { x: 100 + 400, y: 50 + 20 };
    expect(freeCorner(pad, picture, high, "bottom-right", [scale])).toBe("top-left");
    expect(freeCorner(pad, picture, null, "bottom-right", [scale])).toBe("top-right");
  });

  it("goes under a picture that is narrower than itself, and out to its right", () => {
    const narrow = { ...picture, width: 150 };
    expect(freeCorner(pad, narrow, null, "bottom-right")).toBe("under-right");
    expect(padBox("under-right", pad, narrow).left).toBe(6);
  });
});
