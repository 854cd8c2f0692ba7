import { OrthographicCamera } from "three";
import { describe, expect, it } from "vitest";
import type { Box } from "./boxes";
import { MarkerLayer } from "./markers";

const WIDE = 400;

/** A marker in the middle of a picture, with something kept clear. */
function placed(selected: boolean, kept: readonly Box[]): DOMTokenList {
  const layer = new MarkerLayer({ onMarker: () => {}, onGrab: () => {}, onPress: () => {} });
  const look = { label: "Fibular head", look: "sure", movable: true } as const;
  layer.update([{ id: "one", at: [0, 0, 0], selected, ...look }]);
  const camera = new OrthographicCamera(-1, 1, 1, -1, -1, 1);
  camera.updateMatrixWorld();
  layer.place(camera, WIDE, WIDE, () => false, kept);
  const button = layer.element.querySelector("button");
  if (button === null) {
    throw new Error("no marker");
  }
  return button.classList;
}

const onTheRight: Box = { left: 230, right: 400, top: 0, bottom: 400 };
const allAround: Box = { left: 0, right: 400, top: 0, bottom: 400 };

describe("captions of markers", () => {
  it("stand to the right where nothing is in the way", () => {
    expect([...placed(false, [])]).not.toContain("label-left");
    expect([...placed(false, [])]).not.toContain("mute");
  });

  it("turn to the left where the legend would be run into", () => {
    expect([...placed(false, [onTheRight])]).toContain("label-left");
    expect([...placed(false, [onTheRight])]).not.toContain("mute");
  });

  it("stay away where both sides are kept clear, but for what is selected", () => {
    expect([...placed(false, [allAround])]).toContain("mute");
    expect([...placed(true, [allAround])]).not.toContain("mute");
  });
});
