import { describe, expect, it } from "vitest";
import type { Person, Point } from "../api/document";
import { type Kg, mm } from "../units/quantities";
import { dayWords } from "../words/when";
import { inScan, waitsFor } from "./new-case";

// A quarter turn about z: the scan's x stands along the picture's y.
const turn: readonly Point[] = [
  [0, -1, 0],
  [1, 0, 0],
  [0, 0, 1],
];

describe("a landmark touched in the picture", () => {
  it("goes back to the scan's own frame", () => {
    const { tendon } = inScan({ tendon: [-2, 1, 3] }, { turn, unit: "mm" }, null);
    expect(tendon).toEqual([1, 2, 3]);
  });

  it("is scaled along when another unit is stated than was found", () => {
    const { tendon } = inScan({ tendon: [-2, 1, 3] }, { turn, unit: "mm" }, "inch");
    expect(tendon?.map((value) => Number(value.toFixed(6)))).toEqual([25.4, 50.8, 76.2]);
  });
});

describe("what a new case waits for", () => {
  it("names what is not entered yet and nothing that is", () => {
    expect(waitsFor(true, { code: "a-1", side: "left", activity: "K2" }, ["Fibular head"])).toBe(
      "Still needed: body mass, stature, Fibular head.",
    );
    expect(waitsFor(false, {}, [])).toBe(
      "Still needed: a scan, code, side of the limb, body mass, stature, functional class.",
    );
  });

  it("says nothing once all is there", () => {
    const person = {
      code: "a-1",
      side: "left",
      activity: "K2",
      mass_kg: 70 as Kg,
      stature_mm: mm(1700),
    };
    expect(waitsFor(true, person as Partial<Person>, [])).toBe("");
  });
});

describe("when a case was changed", () => {
  const now = new Date(2026, 4, 20, 15, 0);
  it("says today and yesterday, and else the day", () => {
    expect(dayWords(new Date(2026, 4, 20, 0, 5).toISOString(), now)).toMatch(/^today /);
    expect(dayWords(new Date(2026, 4, 19, 23, 55).toISOString(), now)).toMatch(/^yesterday /);
    expect(dayWords(new Date(2026, 4, 18, 12, 0).toISOString(), now)).toContain("2026");
  });
});
