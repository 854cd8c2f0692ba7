import { Color, Ray, Vector3 } from "three";
import { describe, expect, it } from "vitest";
import { MeshLayer } from "./mesh-layer";
import type { Palette } from "./palette";
import { bandsTo } from "./ramps";
import type { MeshItem } from "./scene";

const palette = new Proxy({} as Palette, { get: () => new Color("#888888") });

/** Two triangles of a unit square in the plane z = height. */
function square(height: number, paint: MeshItem["paint"] = null): MeshItem {
  return {
    id: "square",
    positions: new Float32Array([0, 0, height, 1, 0, height, 1, 1, height, 0, 1, height]),
    faces: new Uint32Array([0, 1, 2, 0, 2, 3]),
    finish: "skin",
    opacity: 1,
    paint,
    readable: true,
  };
}

const down = (x: number, y: number): Ray => new Ray(new Vector3(x, y, 10), new Vector3(0, 0, -1));

describe("reading a surface under the pointer", () => {
  it("finds the point that a ray meets, and the nearest corner", () => {
    const layer = new MeshLayer();
    layer.update(square(2), palette);
    const hit = layer.hit(down(0.9, 0.1));
    expect(hit?.reading.point[0]).toBeCloseTo(0.9);
    expect(hit?.reading.point[2]).toBeCloseTo(2);
    expect(hit?.reading.vertex).toBe(1);
    expect(hit?.distance).toBeCloseTo(8);
    expect(layer.hit(down(1.5, 0.5))).toBeNull();
  });

  it("leaves the faces of its caller in their order", () => {
    const item = square(0);
    const before = [...item.faces];
    const layer = new MeshLayer();
    layer.update(item, palette);
    layer.hit(down(0.5, 0.2));
    expect([...item.faces]).toEqual(before);
  });

  it("follows a surface that moved within the same buffers", () => {
    const layer = new MeshLayer();
    const first = square(2);
    layer.update(first, palette);
    layer.hit(down(0.5, 0.2));
    layer.update({ ...first, positions: square(5).positions }, palette);
    expect(layer.hit(down(0.5, 0.2))?.reading.point[2]).toBeCloseTo(5);
  });

  it("reads the painted value between the corners, and none where nothing counts", () => {
    const values = new Float32Array([0, 100, 100, 0]);
    const layer = new MeshLayer();
    const item = square(0, { values, ramp: bandsTo(100) });
    layer.update(item, palette);
    const near = layer.hit(down(0.99, 0.5))?.reading.value ?? 0;
    const far = layer.hit(down(0.2, 0.1))?.reading.value ?? 0;
    expect(near).toBeGreaterThan(far);
    expect(near).toBeLessThanOrEqual(100);
    const cover = new Float32Array(4);
    layer.update({ ...item, paint: { values, cover, ramp: bandsTo(100) } }, palette);
    expect(layer.hit(down(0.99, 0.5))?.reading.value).toBeNull();
  });
});
