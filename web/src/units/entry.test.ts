import { describe, expect, it } from "vitest";
import { METRIC, type UnitChoice } from "./display";
import { commitEntry, type EntryFormat, entryText, nudge, readNumber, shownStep } from "./entry";

const INCHES: UnitChoice = { length: "inch", mass: "lb" };
const format = (unit: string, digits: number, choice: UnitChoice = METRIC): EntryFormat => ({
  unit,
  digits,
  choice,
});

describe("entering a number", () => {
  it("stores nothing when the shown text was left as it was", () => {
    const exact = 36.287389;
    for (const choice of [METRIC, INCHES]) {
      const shape = format("kg", 1, choice);
      expect(commitEntry(entryText(exact, shape), exact, shape)).toEqual({ kind: "unchanged" });
    }
  });

  it("stores what was typed in inches and pounds by their exact definitions", () => {
    // International yard and pound agreement of 1959: 25.4 mm and 0.45359237 kg exactly.
    expect(commitEntry("0.5", 4, format("mm", 1, INCHES))).toEqual({
      kind: "changed",
      stored: 12.7,
    });
    expect(commitEntry("80", 90, format("kg", 1, INCHES))).toEqual({
      kind: "changed",
      stored: 36.2873896,
    });
  });

  it("stores a walking speed typed in miles an hour by the exact mile, and shows it so again", () => {
    // 1609.344 m in 3600 s: 0.44704 m/s exactly.
    const shape = format("m/s", 2, INCHES);
    const committed = commitEntry("2.5", 1, shape);
    expect(committed).toEqual({ kind: "changed", stored: 1.1176 });
    expect(entryText(1.1176, shape)).toBe("2.50");
    expect(commitEntry(entryText(0.8, shape), 0.8, shape)).toEqual({ kind: "unchanged" });
  });

  it("takes steps of about the same size on round numbers of the shown unit", () => {
    expect(shownStep(0.05, "m/s", INCHES)).toBe(0.1);
    expect(shownStep(0.05, "m/s", METRIC)).toBe(0.05);
    expect(shownStep(0.5, "mm", INCHES)).toBe(0.02);
    expect(shownStep(5, "mm", INCHES)).toBe(0.2);
    expect(shownStep(0.5, "kg", INCHES)).toBe(0.5);
  });

  it("shows a typed value again as it was typed, in either unit", () => {
    for (const typed of ["80.0", "180.3", "7.1"]) {
      const shape = format("kg", 1, INCHES);
      const committed = commitEntry(typed, null, shape);
      expect(committed.kind).toBe("changed");
      expect(committed.kind === "changed" && entryText(committed.stored, shape)).toBe(typed);
    }
  });

  it("reads a decimal comma and the typographic minus", () => {
    expect(readNumber("3,5")).toBe(3.5);
    expect(readNumber("−8")).toBe(-8);
    expect(readNumber(" +4. ")).toBe(4);
  });

  it("refuses what is no number, and says what was typed", () => {
    for (const text of ["12 mm", "1.2.3", "1e5", "abc", "--3", "9".repeat(400)]) {
      expect(commitEntry(text, 1, format("mm", 1))).toEqual({ kind: "unreadable", text });
    }
  });

  it("tells an emptied field from an unchanged one", () => {
    expect(commitEntry("", 5, format("mm", 1))).toEqual({ kind: "emptied" });
    expect(commitEntry("", null, format("mm", 1))).toEqual({ kind: "unchanged" });
  });

  it("steps on the shown grid with the arrow keys", () => {
    expect(nudge("3.2", 1, 0.5, format("mm", 1))).toBe(3.5);
    expect(nudge("3.2", -1, 0.5, format("mm", 1))).toBe(3);
    expect(nudge("0.3", 1, 0.1, format("mm", 1))).toBe(0.4);
    expect(nudge("-2", -10, 1, format("mm", 0))).toBe(-12);
    expect(nudge("0.50", 1, 0.02, format("mm", 1, INCHES))).toBe(13.208);
  });
});
