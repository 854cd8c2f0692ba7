import { describe, expect, it } from "vitest";
import {
  bandColours,
  bandsTo,
  bothWays,
  legendTicks,
  parse,
  shareBands,
  texels,
  thinBandsTo,
} from "./ramps";

/** CIE 1976 lightness of an sRGB colour (IEC 61966-2-1, CIE 15). */
function lightness(colour: string): number {
  const linear = parse(colour).map((part) => {
    const share = part / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  const y = 0.2126 * (linear[0] ?? 0) + 0.7152 * (linear[1] ?? 0) + 0.0722 * (linear[2] ?? 0);
  return y > 0.008856 ? 116 * Math.cbrt(y) - 16 : 903.3 * y;
}

const falls = (values: number[]): boolean =>
  values.every((value, i) => i === 0 || value < (values[i - 1] ?? 0) - 1);

describe("colour ramps", () => {
  it("tell more from less by lightness alone", () => {
    for (const ramp of [bandsTo(430), bandsTo(37), shareBands()]) {
      expect(falls(bandColours(ramp).map(lightness))).toBe(true);
    }
  });

  it("show what is thin the darkest where thin is what matters", () => {
    expect(falls(bandColours(thinBandsTo(35)).map(lightness).reverse())).toBe(true);
    expect(thinBandsTo(35).high).toBe(bandsTo(35).high);
  });

  it("grow darker both ways from nothing", () => {
    const stops = bothWays(6).stops.map(lightness);
    const middle = Math.floor(stops.length / 2);
    expect(falls(stops.slice(middle))).toBe(true);
    expect(falls(stops.slice(0, middle + 1).reverse())).toBe(true);
  });

  it("end on a round number at or above the largest value", () => {
    for (const largest of [3.2, 61, 426, 1999]) {
      const ramp = bandsTo(largest);
      expect(ramp.high).toBeGreaterThanOrEqual(largest);
      const count = (ramp.high - ramp.low) / (ramp.step ?? 1);
      expect(count).toBeCloseTo(Math.round(count));
      expect(count).toBeLessThanOrEqual(14);
    }
  });

  it("name every edge between bands in the legend", () => {
    expect(legendTicks(shareBands())).toEqual([0, 0.25, 0.5, 0.75, 1, 1.25]);
    const ramp = bandsTo(426);
    expect(legendTicks(ramp)).toHaveLength(bandColours(ramp).length + 1);
  });

  it("paint with exactly the colours of the legend", () => {
    const ramp = bandsTo(426);
    const row = texels(ramp);
    const painted = new Set<string>();
    for (let i = 0; i < row.length; i += 4) {
      painted.add([row[i], row[i + 1], row[i + 2]].join());
    }
    expect(painted).toEqual(new Set(bandColours(ramp).map((colour) => parse(colour).join())));
  });
});
