/** The standard views and how a camera is set to them. */

import { type Box3, type OrthographicCamera, Vector3 } from "three";
import type { Facing } from "./scene";

export type ViewName = "oblique" | "front" | "back" | "outer" | "inner" | "above" | "below";

export interface StandardView {
  readonly name: ViewName;
  readonly label: string;
  readonly key: string;
}

export const STANDARD_VIEWS: readonly StandardView[] = [
  { name: "front", label: "Front", key: "f" },
  { name: "back", label: "Back", key: "b" },
  { name: "outer", label: "Outer", key: "o" },
  { name: "inner", label: "Inner", key: "i" },
  { name: "above", label: "Above", key: "a" },
  { name: "below", label: "Below", key: "u" },
];

// A hair off the pole keeps "forward" at the top of the picture from above and from below.
const OFF_POLE = 1e-3;
const CAMERA_DISTANCE_MM = 3000;
const MARGIN = 0.84;
/** Half the height that the camera sees at zoom 1. */
export const HALF_VIEW_MM = 100;

const UP = new Vector3(0, 0, 1);

/** From where a view looks, in the picture's frame: z up, and y forward where nothing is turned. */
export function viewDirection(name: ViewName, { outward, turnRad = 0 }: Facing): Vector3 {
  return unturned(name, outward).applyAxisAngle(UP, turnRad);
}

function unturned(name: ViewName, outward: 1 | -1): Vector3 {
  switch (name) {
    case "front":
      return new Vector3(0, 1, 0);
    case "back":
      return new Vector3(0, -1, 0);
    case "outer":
      return new Vector3(outward, 0, 0);
    case "inner":
      return new Vector3(-outward, 0, 0);
    case "above":
      return new Vector3(0, -OFF_POLE, 1);
    case "below":
      return new Vector3(0, OFF_POLE, -1);
    case "oblique":
      return new Vector3(0.55 * outward, 0.8, 0.22);
  }
}

/** Set the camera to look at a point from a direction. */
export function lookFrom(camera: OrthographicCamera, target: Vector3, direction: Vector3): void {
  camera.position.copy(direction).normalize().multiplyScalar(CAMERA_DISTANCE_MM).add(target);
  camera.lookAt(target);
  camera.updateMatrixWorld();
}

/** The zoom at which a box fills the picture, seen as the camera looks now. */
export function zoomToFit(
  { matrixWorld }: Pick<OrthographicCamera, "matrixWorld">,
  box: Box3,
  aspect: number,
): number {
  const right = new Vector3().setFromMatrixColumn(matrixWorld, 0);
  const up = new Vector3().setFromMatrixColumn(matrixWorld, 1);
  const size = box.getSize(new Vector3());
  const across = (axis: Vector3): number =>
    Math.abs(axis.x) * size.x + Math.abs(axis.y) * size.y + Math.abs(axis.z) * size.z;
  const halfHeight = Math.max(across(up) / 2, across(right) / 2 / aspect, 1);
  return (HALF_VIEW_MM / halfHeight) * MARGIN;
}
