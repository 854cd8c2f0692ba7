import { describe, expect, it } from "vitest";
import type { Coupling } from "../../api/results";
import { spreadLabels, stackOf } from "./stack";

const height = (pylon: number): Coupling["height"] =>
  ({
    datum_floor_mm: 400 + pylon,
    pylon_mm: pylon,
    pylon_minimum_mm: 75,
    items: [
      { name: "limb and liner", height_mm: 200, basis: "measured", part: "" },
      { name: "socket adapter", height_mm: 100, basis: "default", part: "" },
      { name: "foot adapter", height_mm: 40, basis: "default", part: "" },
      { name: "foot", height_mm: 60, basis: "given", part: "" },
    ],
  }) as unknown as Coupling["height"];

describe("the stack from datum to floor", () => {
  it("puts the tube between the adapters and ends on the floor", () => {
    const stack = stackOf(height(150));
    expect(stack.parts.map(({ name }) => name)).toEqual([
      "limb and liner",
      "socket adapter",
      "tube",
      "foot adapter",
      "foot",
    ]);
    expect(stack.parts[2]).toMatchObject({ topMm: 300, heightMm: 150, tube: true });
    expect(stack.lengthMm).toBe(550);
    expect(stack.beyondMm).toBe(0);
  });

  it("reaches below the floor by what is missing for the shortest tube", () => {
    expect(stackOf(height(20)).beyondMm).toBe(55);
    expect(stackOf(height(-10)).beyondMm).toBe(85);
  });
});

describe("labels beside the stack", () => {
  it("keep their distance and stay above the end", () => {
    expect(spreadLabels([10, 12, 80], 10, 100)).toEqual([10, 20, 80]);
    expect(spreadLabels([90, 95, 99], 10, 100)).toEqual([80, 90, 100]);
  });
});
