import { describe, expect, it } from "vitest";
import { scanFacing } from "./scan-facing";

/** A post of square section about the vertical through (100, 50). */
const POST = new Float32Array(
  [-40, 0, 40].flatMap((z) => [60, 90, z, 140, 90, z, 60, 10, z, 140, 10, z]),
);
const tendon = { mid_patellar_tendon: [140, 50, 0] } as const;

describe("which way a raw scan faces", () => {
  it("is a guess in all ways before a landmark is touched", () => {
    const { side, guess, facing } = scanFacing(POST, {}, null);
    expect(side).toBeNull();
    expect(guess).toBe(true);
    expect([...(facing.guessed ?? [])].sort()).toEqual(["front", "outer", "up"]);
  });

  it("is to the front where the mid-patellar tendon was touched", () => {
    const { facing } = scanFacing(POST, tendon, "right");
    // Forward is along x: a quarter turn clockwise, seen from above, from y.
    expect(facing.turnRad).toBeCloseTo(-Math.PI / 2);
    expect(facing.guessed).toEqual([]);
  });

  it("guesses the side by the fibular head until the side is given", () => {
    // One who looks along x has -y on the right.
    const right = { ...tendon, fibular_head: [100, 10, 0] } as const;
    const left = { ...tendon, fibular_head: [100, 90, 0] } as const;
    expect(scanFacing(POST, right, null)).toMatchObject({ side: "right", guess: true });
    expect(scanFacing(POST, left, null)).toMatchObject({ side: "left", guess: true });
    expect(scanFacing(POST, left, null).facing).toMatchObject({ outward: -1, guessed: ["outer"] });
  });

  it("tells where the landmarks contradict the side that is given", () => {
    const left = { ...tendon, fibular_head: [100, 90, 0] } as const;
    expect(scanFacing(POST, left, "right")).toMatchObject({ side: "right", contradicted: true });
    expect(scanFacing(POST, left, "left")).toMatchObject({ side: "left", contradicted: false });
  });
});
