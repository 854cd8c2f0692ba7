import { describe, expect, it } from "vitest";
import { METRIC, type UnitChoice } from "./display";
import sentences from "./engine-sentences.json";
import { inShownUnits } from "./said";

const INCHES: UnitChoice = { length: "inch", mass: "lb" };

/** With plain spaces, as they are read. */
function read(text: string, exact?: readonly (number | null)[]): string {
  return inShownUnits(text, INCHES, exact).replaceAll("\u00a0", " ");
}

describe("a sentence of the engine in the chosen units", () => {
  it("is as the engine wrote it in metric units, to the byte", () => {
    expect(sentences.map((one) => inShownUnits(one, METRIC))).toEqual(sentences);
  });

  it("leaves no length, mass or speed of an evaluation metric, and no figure else changed", () => {
    expect(sentences.length).toBeGreaterThan(50);
    for (const one of sentences) {
      const shown = read(one);
      expect(shown, one).not.toMatch(/\d (mm|kg|m\/s)\b/);
      const others = (text: string): string =>
        text.replace(
          /[-−±+]?[\d,.]*\d(( to | by | against )[\d.,]*\d)? (mm|kg|m\/s|in|lb|mph)\b/g,
          "#",
        );
      expect(others(shown)).toBe(others(one));
    }
  });

  it("converts what an independent calculation gives", () => {
    // 474/25.4 = 18.661, 14/25.4 = 0.551, 81.6/25.4 = 3.213; 74/0.45359 = 163.1, 5.2/0.45359 = 11.46
    expect(read("of 474 mm to the floor (±14 mm), 81.6 mm more")).toBe(
      "of 18.66 in to the floor (±0.55 in), 3.21 in more",
    );
    expect(read("3 layers, usual for 74 kg")).toBe("3 layers, usual for 163 lb");
    expect(read("a leg of up to 5.2 kg")).toBe("a leg of up to 11.5 lb");
    // 1.19 m/s over 1609.344 m in 3600 s is 2.662 miles an hour
    expect(read("walked at up to 1.19 m/s, pulls")).toBe("walked at up to 2.66 mph, pulls");
  });

  it("converts both ends of a range and both sides of a pair, with the same digits", () => {
    expect(read("usual is 6 to 15 mm; 10 to 30 mm in front")).toBe(
      "usual is 0.24 to 0.59 in; 0.39 to 1.18 in in front",
    );
    expect(read("Tube of 30 by 2 mm at 92 mm")).toBe("Tube of 1.181 by 0.079 in at 3.62 in");
    expect(read("than the tape (300 against 302 mm)")).toBe(
      "than the tape (11.81 against 11.89 in)",
    );
  });

  it("has a true minus before what is negative, in any unit, and none between figures", () => {
    expect(inShownUnits("friction -59 N (-15 %), -3 mm, 0-60 kPa, full-contact", METRIC)).toBe(
      "friction −59 N (−15 %), −3 mm, 0-60 kPa, full-contact",
    );
    expect(read("friction -59 N (-15 %)")).toBe("friction −59 N (−15 %)");
  });

  it("keeps two figures of what is small, and a sign", () => {
    expect(read("noise of 0.24 mm; adds 0.2 mm")).toBe("noise of 0.0094 in; adds 0.0079 in");
    expect(read("not -3 mm, +2.5 mm or 0.0 mm")).toBe("not −0.12 in, +0.098 in or 0.00 in");
    expect(read("a depth of 1,200 mm")).toBe("a depth of 47.24 in");
  });

  it("tells a step with the digits of its ends, so that it is their difference", () => {
    expect(read("deepen the relief by 1.0 mm, from 4.0 to 5.0 mm")).toBe(
      "deepen the relief by 0.04 in, from 0.16 to 0.20 in",
    );
    expect(read("deepen it by 1.0 mm, from 0.0 to 1.0 mm")).toBe(
      "deepen it by 0.039 in, from 0.000 to 0.039 in",
    );
    expect(read("deepen it by 1.0 mm")).toBe("deepen it by 0.039 in");
  });

  it("rounds once where the unrounded figure stands beside it", () => {
    expect(read("uncertain by 4.7 mm")).toBe("uncertain by 0.19 in");
    expect(read("uncertain by 4.7 mm", [4.651, null])).toBe("uncertain by 0.18 in");
    expect(read("4.7 mm more, -4.7 mm less", [-4.651])).toBe("0.18 in more, −0.18 in less");
    expect(read("at 12 mm", [4.651])).toBe("at 0.47 in");
  });

  it("lets alone areas, other units, and names", () => {
    const kept = [
      "over 1 cm² 206 kPa on 12 mm², 3 mm2, 5 mm/s and 9.81 m/s²",
      "38 MPa, 195.7 N, 204 N·m, in N·m/kg: 0.63 beside 0.4 to 0.8",
      "The scan is in mm (found); read as mm",
      "outside_mm, 5 mm_wide, file-12 mmx",
      "4 of 7 figures, 2 levels",
    ];
    expect(kept.map((one) => inShownUnits(one, INCHES))).toEqual(kept);
  });

  it("converts lengths and masses each by its own choice", () => {
    const text = "62 kg on 10 mm";
    expect(inShownUnits(text, { length: "mm", mass: "lb" })).toBe("137\u00a0lb on 10 mm");
    expect(inShownUnits(text, { length: "inch", mass: "kg" })).toBe("62 kg on 0.39\u00a0in");
  });
});
