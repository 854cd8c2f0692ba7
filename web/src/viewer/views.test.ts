import { Box3, OrthographicCamera, Vector3 } from "three";
import { describe, expect, it } from "vitest";
import { describeView } from "./overlay";
import { HALF_VIEW_MM, lookFrom, STANDARD_VIEWS, viewDirection, zoomToFit } from "./views";

function cameraAt(view: Parameters<typeof viewDirection>[0], outward: 1 | -1): OrthographicCamera {
  const camera = new OrthographicCamera(
    -HALF_VIEW_MM,
    HALF_VIEW_MM,
    HALF_VIEW_MM,
    -HALF_VIEW_MM,
    1,
    6000,
  );
  camera.up.set(0, 0, 1);
  lookFrom(camera, new Vector3(), viewDirection(view, { outward }));
  return camera;
}

const RIGHT_OF_PATIENT = new Vector3(50, 0, 0);
const FORWARD = new Vector3(0, 50, 0);
const UP = new Vector3(0, 0, 50);

const seen = (point: Vector3, camera: OrthographicCamera): Vector3 => point.clone().project(camera);

describe("standard views", () => {
  it("show a person from the front with their right on the left of the picture", () => {
    const camera = cameraAt("front", 1);
    expect(seen(RIGHT_OF_PATIENT, camera).x).toBeLessThan(-0.4);
    expect(seen(UP, camera).y).toBeGreaterThan(0.4);
  });

  it("show the outer side of either limb with forward on its own hand", () => {
    // Looking at the right leg from its outer side, the toes point to the right.
    expect(seen(FORWARD, cameraAt("outer", 1)).x).toBeGreaterThan(0.4);
    expect(seen(FORWARD, cameraAt("outer", -1)).x).toBeLessThan(-0.4);
  });

  it("keep forward at the top from above and from below, without mirroring", () => {
    for (const view of ["above", "below"] as const) {
      expect(seen(FORWARD, cameraAt(view, 1)).y).toBeGreaterThan(0.4);
    }
    expect(seen(RIGHT_OF_PATIENT, cameraAt("above", 1)).x).toBeGreaterThan(0.4);
    expect(seen(RIGHT_OF_PATIENT, cameraAt("below", 1)).x).toBeLessThan(-0.4);
  });

  it("are named in words that fit the side", () => {
    expect(describeView(cameraAt("outer", -1), { outward: -1 })).toBe("Seen from the outer side");
    expect(describeView(cameraAt("inner", -1), { outward: -1 })).toBe("Seen from the inner side");
    expect(describeView(cameraAt("below", 1), { outward: 1 })).toBe("Seen from below");
  });

  it("each have a key of their own", () => {
    expect(new Set(STANDARD_VIEWS.map((view) => view.key)).size).toBe(STANDARD_VIEWS.length);
  });

  it("fit a box into the picture whatever the direction", () => {
    const box = new Box3(new Vector3(-60, -70, -300), new Vector3(60, 70, 80));
    for (const { name } of STANDARD_VIEWS) {
      const camera = cameraAt(name, 1);
      lookFrom(camera, box.getCenter(new Vector3()), viewDirection(name, { outward: 1 }));
      camera.zoom = zoomToFit(camera, box, 1);
      camera.updateProjectionMatrix();
      const corners = [box.min, box.max].map((corner) => seen(corner, camera));
      for (const { x, y } of corners) {
        expect(Math.abs(x)).toBeLessThan(1);
        expect(Math.abs(y)).toBeLessThan(1);
      }
    }
  });
});
