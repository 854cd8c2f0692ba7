import { describe, expect, it } from "vitest";
import type { PlanChange } from "../api/replies";
import { METRIC, quantityText, type UnitChoice } from "../units/display";
import { mm } from "../units/quantities";
import { inShownUnits } from "../units/said";
import { entryWords, ownWords, valueWords, wholeWords } from "./plan-changes";

const INCHES: UnitChoice = { length: "inch", mass: "lb" };
const shownIn = (choice: UnitChoice) => ({
  text: (value: number, unit: string, digits?: number) => quantityText(value, unit, choice, digits),
});

const DEPTH: PlanChange = {
  stage: "shape",
  path: "shape.areas.0.depth_mm",
  place: "Relief, fibular head",
  name: "depth",
  kind: "changed",
  before: 3,
  after: 4.25,
  unit: "mm",
  level_mm: null,
};

describe("a change of the plan", () => {
  it("names the part and the entry, with its level in the units shown", () => {
    expect(entryWords(DEPTH, shownIn(METRIC))).toBe("Relief, fibular head: depth");
    const takeUp = { ...DEPTH, place: "Take-up", name: "of girth", level_mm: mm(50.8) };
    expect(entryWords(takeUp, shownIn(METRIC))).toBe("Take-up 51\u00a0mm below MPT: of girth");
    expect(entryWords(takeUp, shownIn(INCHES))).toBe("Take-up 2.00\u00a0in below MPT: of girth");
  });

  it("shows numbers with the digits that they were entered with", () => {
    expect(valueWords(3, DEPTH, shownIn(METRIC))).toBe("3\u00a0mm");
    expect(valueWords(4.25, DEPTH, shownIn(METRIC))).toBe("4.25\u00a0mm");
    expect(valueWords(25.4, DEPTH, shownIn(INCHES))).toBe("1.00\u00a0in");
    expect(valueWords(72.5, { ...DEPTH, unit: "kg" }, shownIn(INCHES))).toBe("159.8\u00a0lb");
    expect(valueWords(0.1 + 0.2, { ...DEPTH, unit: "" }, shownIn(METRIC))).toBe("0.3");
  });

  it("leaves what a person wrote as it was written", () => {
    expect(valueWords("scan_2.stl", { ...DEPTH, unit: "" }, shownIn(METRIC))).toBe("scan_2.stl");
  });

  it("says an applied suggestion in the units shown, and a person's own note as it was written", () => {
    const inches = { said: (text: string) => inShownUnits(text, INCHES) };
    const applied = { path: "fit.fittings.0.applied.1.text" };
    expect(ownWords("press in by 25.4 mm", applied, inches)).toBe("press in by 1.00\u00a0in");
    const note = { path: "fit.fittings.0.note" };
    expect(ownWords("a pad of 3 mm", note, inches)).toBe("a pad of 3 mm");
  });

  it("tells a value that is not stated from one that is not there", () => {
    expect(valueWords(null, DEPTH, shownIn(METRIC))).toBe("not stated");
    expect(valueWords(null, { ...DEPTH, kind: "added" }, shownIn(METRIC))).toBe("–");
  });

  it("says of a whole part that it came, went, moved or changed places", () => {
    const whole = { ...DEPTH, name: "", before: null, after: null };
    expect(wholeWords({ ...whole, kind: "added" }, shownIn(METRIC))).toBe("added");
    expect(wholeWords({ ...whole, kind: "removed" }, shownIn(METRIC))).toBe("removed");
    expect(wholeWords({ ...whole, kind: "order" }, shownIn(METRIC))).toBe("in another order");
    const moved = { ...whole, kind: "moved" as const, after: 12.7 };
    expect(wholeWords(moved, shownIn(METRIC))).toBe("moved by 12.7\u00a0mm");
    expect(wholeWords(moved, shownIn(INCHES))).toBe("moved by 0.50\u00a0in");
    expect(wholeWords({ ...DEPTH, kind: "added" }, shownIn(METRIC))).toBeNull();
  });
});
