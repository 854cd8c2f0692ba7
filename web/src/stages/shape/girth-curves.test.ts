import { describe, expect, it } from "vitest";
import type { SocketShape } from "../../api/results";
import { METRIC } from "../../units/display";
import { depthWords } from "./depth-words";
import { girthCurves } from "./girth-curves";

function shape(models: readonly number[], lined = 310): SocketShape {
  return {
    girths: models.map((model_mm, i) => ({
      level_mm: 30 * i,
      limb_mm: 300,
      lined_mm: lined,
      model_mm,
      take_up_percent: 2,
    })),
  } as unknown as SocketShape;
}

const names = (series: readonly { readonly name: string }[]): string[] =>
  series.map(({ name }) => name);

describe("girths over the level", () => {
  it("show the limb, what goes into the socket, and the socket", () => {
    const { girths, takeUp } = girthCurves(shape([303.8]), null, METRIC);
    expect(names(girths)).toEqual(["Socket", "In liner", "Limb"]);
    // 2 % of 310 is 6.2: 303.8.
    expect(takeUp[0]?.values[0]).toBeCloseTo(2);
  });

  it("hold the socket against an earlier one only where it differs", () => {
    const now = shape([300, 290]);
    expect(names(girthCurves(now, shape([300, 290]), METRIC).girths)).not.toContain("Before");
    const { girths } = girthCurves(now, shape([305, 290]), METRIC);
    expect(girths.find(({ name }) => name === "Before")?.values).toEqual([305, 290]);
  });

  it("leave the earlier socket away where it was measured at other levels", () => {
    expect(names(girthCurves(shape([300, 290]), shape([305]), METRIC).girths)).not.toContain(
      "Before",
    );
  });

  it("are told in the units shown", () => {
    const inches = girthCurves(shape([254]), null, { ...METRIC, length: "inch" });
    expect(inches.girths[0]?.values[0]).toBeCloseTo(10);
  });
});

const millimetres = (value: number): string => `${value.toString()} mm`;

describe("a depth beyond bounds", () => {
  it("is refused in the entry's own sense", () => {
    expect(depthWords(40, true, millimetres)).toBe(
      "Pressed in by at most 20 mm; nothing was changed.",
    );
    expect(depthWords(40, false, millimetres)).toBe(
      "Space added by at most 20 mm; nothing was changed.",
    );
    expect(depthWords(-3, true, millimetres)).toContain("only presses in");
    expect(depthWords(20, true, millimetres)).toBeNull();
  });
});
