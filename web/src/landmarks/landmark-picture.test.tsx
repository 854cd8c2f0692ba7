import { readFileSync } from "node:fs";
import { render } from "@testing-library/react";
import { describe, expect, it } from "vitest";
import type { Side } from "../api/document";
import { LandmarkPicture } from "./landmark-picture";
import { DRAWING, endsOf, LANDMARK_PLACES } from "./places";

const PLAN = readFileSync("../src/limbwright/capture/plan.py", "utf8");
/** The names that the package itself knows. */
const NAMES = [
  ...(/LANDMARK_NAMES[^(]*\(([^)]*)\)/.exec(PLAN)?.[1] ?? "").matchAll(/"(\w+)"/g),
].map(([, name]) => name ?? "");

function markOf(name: string, side: Side): [number, number] {
  const { container } = render(<LandmarkPicture name={name} side={side} />);
  const moved = container.querySelector(`[data-mark="${name}"]`)?.getAttribute("transform") ?? "";
  const [x, y] = [...moved.matchAll(/[\d.]+/g)].map(Number);
  return [x ?? Number.NaN, y ?? Number.NaN];
}

describe("the drawing of where a landmark is felt for", () => {
  it("is there for every landmark of the package, and for no other", () => {
    expect(NAMES).toContain("fibular_head");
    expect(Object.keys(LANDMARK_PLACES).sort()).toEqual([...NAMES].sort());
  });

  it.each(NAMES)("marks %s within the picture and says how fingers find it", (name) => {
    const [x, y] = markOf(name, "right");
    expect(x).toBeGreaterThan(0);
    expect(x).toBeLessThan(DRAWING.width);
    expect(y).toBeGreaterThan(0);
    expect(y).toBeLessThan(DRAWING.height);
    expect(LANDMARK_PLACES[name]?.how).toMatch(/^[A-Z].{40,}\.$/);
  });

  it.each(NAMES)("mirrors %s of a left limb", (name) => {
    const [right, left] = [markOf(name, "right"), markOf(name, "left")];
    expect(left[0] + right[0]).toBe(DRAWING.width);
    expect(left[1]).toBe(right[1]);
  });

  it("has the outer side of a right limb to the left when it is seen from the front", () => {
    expect(endsOf("front", "right")).toEqual(["outer", "inner"]);
    expect(endsOf("front", "left")).toEqual(["inner", "outer"]);
    expect(endsOf("back", "right")).toEqual(["inner", "outer"]);
    // Who looks at a right limb from its outer side has its front to the right.
    expect(endsOf("outer", "right")).toEqual(["back", "front"]);
    expect(markOf("medial_hamstring_tendon", "right")[0]).toBeLessThan(
      markOf("lateral_hamstring_tendon", "right")[0],
    );
  });

  it("tells the side, the view and the landmark to those who do not see it", () => {
    const { getByRole } = render(<LandmarkPicture name="fibular_head" side="left" />);
    expect(getByRole("img").getAttribute("aria-label")).toBe(
      "Left limb from the outer side, a mark at: Fibular head",
    );
  });

  it("says that it shows a right limb while the side is not known", () => {
    const { container } = render(<LandmarkPicture name="fibular_head" side={null} />);
    expect(container.textContent).toContain("a left limb mirrors it");
  });
});
