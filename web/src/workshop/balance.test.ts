import { describe, expect, it } from "vitest";
import type { Point } from "../api/document";
import type { CasePressure } from "../api/results";
import { poseAt, pushArrow, pushWords, sinkWords, tiltWords } from "./balance";

const text = (value: number, unit: string, digits = 1): string =>
  `${value.toFixed(digits)} ${unit}`;
const pose = (shift: Point, turn: Point = [0, 0, 0]): CasePressure["pose"] => ({
  shift_mm: shift,
  turn_rad: turn,
});

describe("where the limb goes in the socket", () => {
  it("is said in the words of the trade: laterally, medially, anteriorly, posteriorly", () => {
    expect(pushWords(pose([-3, 0.2, 0]), text)).toBe("pushed 3.0 mm medially");
    expect(pushWords(pose([1, -1, 0]), text)).toBe("pushed 1.4 mm laterally and posteriorly");
    expect(pushWords(pose([0, 0.01, -4]), text)).toBe("not pushed aside");
    expect(sinkWords(pose([0, 0, -4]), text)).toBe("sinks 4.0 mm");
  });

  it("is told for a point of the limb: a tilt carries what lies lower aside", () => {
    const at = poseAt(pose([1, 0, -2], [0, -0.02, 0]), [0, 0, -100]);
    expect(at.shift_mm[0]).toBeCloseTo(3);
    expect(at.shift_mm[2]).toBeCloseTo(-2);
  });

  it("tilts the lower end the way the turn carries it", () => {
    // What a small turn does to a point 100 mm down the limb: turn x (0, 0, -100).
    const carried = ([o, f]: Point): readonly [number, number] => [-100 * f, 100 * o];
    for (const [turn, word] of [
      [[0.02, 0, 0], "anterior"],
      [[-0.02, 0, 0], "posterior"],
      [[0, 0.02, 0], "medial"],
      [[0, -0.02, 0], "lateral"],
    ] as const) {
      const [outward, forward] = carried(turn);
      const goes = {
        lateral: outward > 1,
        medial: outward < -1,
        anterior: forward > 1,
        posterior: forward < -1,
      };
      expect(goes[word]).toBe(true);
      expect(tiltWords(pose([0, 0, 0], turn), text)).toBe(`tilted 1.1 deg, lower end ${word}`);
    }
  });

  it("is drawn as an arrow that leaves the skin on the side it goes to", () => {
    const onSkin = ([x, y, z]: Point): Point => {
      const size = Math.hypot(x, y);
      return [(45 * x) / size, (45 * y) / size, z];
    };
    const arrow = pushArrow(pose([-2, 0, 0]), 0, onSkin);
    expect(arrow?.points[0]?.[0]).toBeLessThan(-45);
    expect(arrow?.tip[0]).toBeCloseTo(-45 - 4 - 16);
    expect(pushArrow(pose([0, 0, -9]), 0, onSkin)).toBeNull();
  });
});
