import { describe, expect, it } from "vitest";
import {
  figure,
  fittingDigits,
  grouped,
  METRIC,
  numberText,
  quantityText,
  sharedDigits,
  speedText,
  type UnitChoice,
} from "./display";

const INCHES: UnitChoice = { length: "inch", mass: "lb" };

describe("showing a quantity", () => {
  it("writes the unit beside the value and never lets the two part", () => {
    expect(quantityText(12.5, "mm", METRIC)).toBe("12.5\u00a0mm");
    expect(quantityText(-3, "deg", METRIC)).toBe("−3.0°");
    expect(quantityText(22, "degC", METRIC, 0)).toBe("22\u00a0°C");
    expect(quantityText(0.83, "", METRIC)).toBe("0.83");
  });

  it("shows lengths in inches and masses in pounds when asked, and forces as they are", () => {
    expect(quantityText(25.4, "mm", INCHES)).toBe("1.00\u00a0in");
    expect(quantityText(74, "kg", INCHES)).toBe("163.1\u00a0lb");
    expect(quantityText(195.7, "N", INCHES)).toBe("196\u00a0N");
  });

  it("shows a walking speed in miles an hour beside inches, and in m/s beside mm", () => {
    // 0.8 m/s times 3600 s over 1609.344 m is 1.7895
    expect(quantityText(0.8, "m/s", INCHES)).toBe("1.79\u00a0mph");
    expect(speedText(0.8, INCHES)).toBe("1.79\u00a0mph (0.80\u00a0m/s)");
    expect(speedText(0.8, METRIC)).toBe("0.80\u00a0m/s");
    expect(quantityText(0.8, "m/s", { length: "inch", mass: "kg" }, 0)).toBe("1.79\u00a0mph");
    expect(quantityText(0.8, "m/s", { length: "mm", mass: "lb" })).toBe("0.80\u00a0m/s");
  });

  it("shows areas in the square of the length chosen", () => {
    expect(quantityText(645.16, "mm2", INCHES, 2)).toBe("1.00\u00a0in²");
    expect(quantityText(645.16, "mm2", METRIC, 2)).toBe("6.45\u00a0cm²");
    expect(quantityText(6.4516, "cm2", INCHES, 2)).toBe("1.00\u00a0in²");
    expect(quantityText(10, "cm2", INCHES, 0)).toBe("1.6\u00a0in²");
  });

  it("never shows a negative zero", () => {
    expect(numberText(-0.01, "mm", METRIC)).toBe("0.0");
    expect(numberText(-0.06, "mm", METRIC)).toBe("−0.1");
    expect([-0.4, -0.6, 0.4].map((percent) => figure(percent, 0))).toEqual(["0", "−1", "0"]);
  });

  it("groups the figures of a large count as the engine does", () => {
    expect([999, 12345, 1234567].map(grouped)).toEqual(["999", "12,345", "1,234,567"]);
  });

  it("gives a value of unknown size about three figures", () => {
    expect([0.348, 22.84, 4752.4, 8].map(fittingDigits)).toEqual([2, 1, 0, 0]);
  });

  it("gives figures that are read side by side the digits of the finest", () => {
    expect(sharedDigits([0.96, 1])).toBe(2);
    expect(sharedDigits([22.84, 100])).toBe(1);
    expect(sharedDigits([8, null])).toBe(0);
    expect(sharedDigits([null, null])).toBe(0);
  });
});
