import { describe, expect, it } from "vitest";
import openapi from "../../openapi.json";
import { METRIC } from "../units/display";
import { BODY_BOUNDS, bodyMeant, bodyRefusal } from "./person-bounds";

const text = (value: number, unit: string): string => `${value.toString()} ${unit}`;
const INCHES = { length: "inch", mass: "lb" } as const;

describe("what a body can measure", () => {
  it("is what the service takes", () => {
    const { properties } = openapi.components.schemas.Person;
    for (const entry of ["mass_kg", "stature_mm"] as const) {
      const { minimum, maximum } = properties[entry];
      expect(BODY_BOUNDS[entry].bounds).toEqual([minimum, maximum]);
    }
  });

  it("is refused with what can be used, at the field", () => {
    expect(bodyRefusal("mass_kg", 820, text)).toBe("820 kg cannot be used: from 20 kg to 250 kg.");
    expect(bodyRefusal("mass_kg", 82, text)).toBeNull();
    expect(bodyRefusal("stature_mm", 178, text)).toContain("from 1000 mm to 2300 mm");
  });
});

describe("the unit that was meant", () => {
  it("is centimetres or metres where millimetres are asked for", () => {
    expect(bodyMeant("stature_mm", 178, METRIC)).toEqual({ words: "178\u00a0cm?", stored: 1780 });
    expect(bodyMeant("stature_mm", 1.78, METRIC)).toEqual({ words: "1.78\u00a0m?", stored: 1780 });
  });

  it("is read from what was typed, whatever unit is shown", () => {
    const typed = 178 * 25.4;
    expect(bodyMeant("stature_mm", typed, INCHES)).toEqual({ words: "178\u00a0cm?", stored: 1780 });
    expect(bodyMeant("mass_kg", 300, METRIC)?.words).toBe("300\u00a0lb?");
  });

  it("is not guessed where no unit makes sense of it", () => {
    expect(bodyMeant("mass_kg", 820, METRIC)).toBeNull();
    expect(bodyMeant("stature_mm", 17800, METRIC)).toBeNull();
  });
});
