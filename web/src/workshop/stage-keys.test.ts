import { expect, it } from "vitest";
import { stageNumber } from "./stage-keys";

const pressed = (code: string, held: KeyboardEventInit): number | null =>
  stageNumber(new KeyboardEvent("keydown", { code, ...held }));

it("a stage is asked for by Alt, Shift and the digit's own key, whatever that key types", () => {
  const both = { altKey: true, shiftKey: true };
  expect(pressed("Digit3", { ...both, key: "#" })).toBe(3);
  expect(pressed("Digit3", { altKey: true })).toBeNull();
  expect(pressed("Digit3", {})).toBeNull();
  expect(pressed("Numpad3", both)).toBeNull();
  expect(pressed("Digit3", { ...both, ctrlKey: true })).toBeNull();
});
