import { describe, expect, it } from "vitest";
import type { Alignment } from "../../api/results";
import { acrossSign, flatLeg, withFootAt } from "./leg-geometry";
import { triedMoment } from "./trial";

const moments = (coronal: number) => [
  { place: "datum", phase: "mid_stance", coronal_n_m: coronal, sagittal_n_m: 2, transverse_n_m: 0 },
];
const leg = {
  up: [0, 0, 1],
  forward: [0, 1, 0],
  points_mm: { socket_base: [10, 5, -190], ankle: [20, 8, -400], heel: [20, -40, -480] },
  chain: [],
  load_line: {
    point_mm: [30, 60, -480],
    direction: [0, 0, 1],
    places: [
      { name: "knee", height_mm: 500, line_forward_mm: 20, line_outward_mm: -5, basis: "default" },
    ],
  },
  effects: [{ name: "foot out", amount: 5, before: moments(10), after: moments(6) }],
} as unknown as Alignment;

describe("the leg laid flat", () => {
  it("faces a person: their outer side of a right limb is on the left of the page", () => {
    expect(acrossSign("front", "right")).toBe(-1);
    expect(acrossSign("front", "left")).toBe(1);
    expect(flatLeg(leg, null, "front", "right").chain[1]).toEqual([-20, -400]);
    expect(flatLeg(leg, null, "front", "left").chain[1]).toEqual([20, -400]);
  });

  it("is seen from its outer side: forward is on the right of a right limb", () => {
    expect(flatLeg(leg, null, "side", "right").chain[1]).toEqual([8, -400]);
    expect(flatLeg(leg, null, "side", "left").chain[1]).toEqual([-8, -400]);
  });

  it("puts the knee where the load line passes it by what is told", () => {
    const side = flatLeg(leg, null, "side", "right");
    expect(side.loadLine).toBe(60);
    // The line passes 20 mm in front of the knee.
    expect(side.knee).toEqual([40, 20]);
    // And 5 mm medial of it: the knee lies further out.
    expect(flatLeg(leg, null, "front", "left").knee).toEqual([35, 20]);
  });

  it("lets the tube lean under a socket that stays, and takes the load line with the foot", () => {
    const flat = {
      ...flatLeg(leg, null, "side", "right"),
      chain: [
        [0, -190],
        [0, -200],
        [0, -300],
        [0, -400],
        [0, -420],
      ] as const,
      adapters: [
        [0, -200],
        [0, -400],
      ] as const,
    };
    const moved = withFootAt(flat, 12);
    expect(moved.chain.map(([x]) => x)).toEqual([0, 0, 6, 12, 12]);
    expect(moved.foot.map(([x]) => x)).toEqual(flat.foot.map(([x]) => x + 12));
    expect(moved.loadLine).toBe(72);
    expect(moved.knee).toEqual(flat.knee);
  });

  it("tells the moment of a tried foot where small changes are computed", () => {
    const coronal = triedMoment(leg, "mid_stance", "coronal_n_m", { forward: 0, outward: 10 });
    expect(coronal?.[0]).toBe(10);
    expect(coronal?.[1]).toBeCloseTo(2);
    expect(triedMoment(leg, "mid_stance", "coronal_n_m", { forward: 1, outward: 0 })).toBeNull();
  });
});
