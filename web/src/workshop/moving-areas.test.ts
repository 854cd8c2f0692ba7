import { describe, expect, it } from "vitest";
import type { AreaPlan } from "../api/document";
import { deepenedArea, movedArea, stretchedArea } from "./moving-areas";

const plan = (part: Partial<Record<keyof AreaPlan, number | null>> = {}): AreaPlan =>
  ({
    name: "popliteal",
    depth_mm: -4,
    length_mm: null,
    width_mm: null,
    blend_mm: null,
    move_distal_mm: 0,
    move_around_mm: 0,
    ...part,
  }) as AreaPlan;

describe("an area dragged on the limb", () => {
  it("goes down by how much lower it was let go", () => {
    const moved = movedArea(plan({ move_distal_mm: 3 }), [0, 50, -20], [0, 50, -32]);
    expect(moved.move_distal_mm).toBe(15);
    expect(moved.move_around_mm).toBe(0);
  });

  it("goes around by the arc, forward counted from outward", () => {
    // A tenth of a radian on a radius of 50 mm is 5 mm.
    const to = [50 * Math.cos(0.1), 50 * Math.sin(0.1), 0] as const;
    expect(movedArea(plan(), [50, 0, 0], to).move_around_mm).toBe(5);
    expect(movedArea(plan(), to, [50, 0, 0]).move_around_mm).toBe(-5);
  });

  it("takes the short way across the back", () => {
    const from = [-50, 1, 0] as const;
    const to = [-50, -1, 0] as const;
    expect(movedArea(plan(), from, to).move_around_mm).toBe(2);
  });

  it("stops where a plan's shift ends", () => {
    expect(movedArea(plan(), [50, 0, 0], [50, 0, -90]).move_distal_mm).toBe(60);
  });
});

describe("an area stretched and deepened", () => {
  it("grows from its default and leaves the other measure to its own", () => {
    const grown = stretchedArea(plan(), 2, 0, { length_mm: 30, width_mm: 20 });
    expect(grown.length_mm).toBe(32);
    expect(grown.width_mm).toBeNull();
  });

  it("keeps its nature: a load area never becomes a relief", () => {
    expect(deepenedArea(plan(), 0.5, true).depth_mm).toBe(-4.5);
    expect(deepenedArea(plan(), -9, true).depth_mm).toBe(0);
    expect(deepenedArea(plan({ depth_mm: 2 }), 0.5, false).depth_mm).toBe(2.5);
  });
});
