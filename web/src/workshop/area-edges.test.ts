import { describe, expect, it } from "vitest";
import type { AreaPlan, Point } from "../api/document";
import { mm } from "../units/quantities";
import {
  depthDragged,
  edgeDragged,
  edgePoint,
  edgeWords,
  flat,
  type Outline,
  reshaped,
  reshaping,
} from "./area-edges";

const plan: AreaPlan = {
  name: "tibial_crest",
  depth_mm: mm(3),
  length_mm: null,
  width_mm: null,
  blend_mm: null,
  move_distal_mm: mm(0),
  move_around_mm: mm(0),
};
const usual = { length_mm: 60, width_mm: 10, blend_mm: 16 };
const RADIUS = 50;

/** An ellipse around a point in front of a cylinder: 20 mm to either side, 40 mm up and down. */
function outlineAt(angle: number): Outline {
  const points = Array.from({ length: 80 }, (_, i): Point => {
    const turn = (2 * Math.PI * i) / 80;
    const around = angle + (20 * Math.cos(turn)) / RADIUS;
    return [RADIUS * Math.cos(around), RADIUS * Math.sin(around), -30 + 40 * Math.sin(turn)];
  });
  const middle: Point = [RADIUS * Math.cos(angle), RADIUS * Math.sin(angle), -30];
  return { lines: [{ points, closed: true }], middle };
}

const ON_CYLINDER = ([x, y, z]: Point): Point => {
  const size = Math.hypot(x, y);
  return [(RADIUS * x) / size, (RADIUS * y) / size, z];
};

function spans(outline: Outline, middle: Point): readonly number[] {
  const all = outline.lines.flatMap(({ points }) => points).map((point) => flat(point, middle));
  const [around, along] = [all.map(([u]) => u), all.map(([, v]) => v)];
  return [Math.min(...around), Math.max(...around), Math.min(...along), Math.max(...along)];
}

describe("an edge that is dragged", () => {
  it("moves alone: the opposite edge of the previewed outline stays where it was", () => {
    const front = outlineAt(Math.PI / 2);
    for (const [edge, side, outward] of [
      ["upper", 3, 1],
      ["lower", 2, -1],
      ["ahead", 1, 1],
      ["behind", 0, -1],
    ] as const) {
      const next = edgeDragged(plan, usual, edge, 6);
      const moved = reshaped(front, reshaping(plan, next, usual), ON_CYLINDER);
      const [before, after] = [spans(front, front.middle), spans(moved, front.middle)];
      before.forEach((value, i) => {
        expect(after[i]).toBeCloseTo(i === side ? value + 6 * outward : value, 1);
      });
    }
  });

  it("starts from the size in use where the plan leaves it to its default", () => {
    const next = edgeDragged(plan, usual, "lower", 4);
    expect(next.length_mm).toBe(64);
    expect(next.move_distal_mm).toBe(2);
    expect(next.width_mm).toBeNull();
  });

  it("never makes an area smaller than nothing, and shifts no further than it shrank", () => {
    const next = edgeDragged(plan, usual, "upper", -500);
    expect(next.length_mm).toBe(0);
    expect(next.move_distal_mm).toBe(30);
  });

  it("is taken hold of at the outline, beside the middle and at the ends", () => {
    const front = outlineAt(Math.PI / 2);
    expect(flat(edgePoint(front, "upper"), front.middle)[1]).toBeCloseTo(40, 1);
    expect(flat(edgePoint(front, "ahead"), front.middle)[0]).toBeCloseTo(20, 1);
    expect(flat(edgePoint(front, "behind"), front.middle)[0]).toBeCloseTo(-20, 1);
  });

  it("is named by where it lies on the limb", () => {
    expect(edgeWords(outlineAt(Math.PI / 2), "ahead")).toBe("medial edge");
    expect(edgeWords(outlineAt(Math.PI / 2), "behind")).toBe("lateral edge");
    expect(edgeWords(outlineAt(0), "ahead")).toBe("anterior edge");
    expect(edgeWords(outlineAt(-Math.PI / 2), "ahead")).toBe("lateral edge");
    expect(edgeWords(outlineAt(0), "lower")).toBe("lower edge");
  });
});

describe("an outline that is moved", () => {
  it("goes around and along by the plan's moves, also across the back", () => {
    const back = outlineAt(Math.PI);
    const next = { ...plan, move_around_mm: mm(15), move_distal_mm: mm(5) };
    const moved = reshaped(back, reshaping(plan, next, usual), ON_CYLINDER);
    const [around, along] = flat(moved.middle, back.middle);
    expect(around).toBeCloseTo(15, 3);
    expect(along).toBeCloseTo(-5, 3);
  });

  it("is left alone by an edit of depth", () => {
    const front = outlineAt(Math.PI / 2);
    expect(reshaped(front, reshaping(plan, { ...plan, depth_mm: mm(9) }, usual), ON_CYLINDER)).toBe(
      front,
    );
  });
});

describe("a depth that is dragged", () => {
  it("keeps the sign of what the area is for, by tenths of a millimetre", () => {
    expect(depthDragged({ ...plan, depth_mm: mm(-4) }, 1.26, true).depth_mm).toBeCloseTo(-5.3);
    expect(depthDragged(plan, -9, false).depth_mm).toBe(0);
    expect(depthDragged(plan, 99, false).depth_mm).toBe(20);
  });
});
