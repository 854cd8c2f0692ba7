import { beforeEach, describe, expect, it, vi } from "vitest";
import { fieldOfEntry, focusEntry, stageOfEntry } from "./entries";

const PANEL = `
  <input id="wall" data-entry="prove.wall_mm">
  <details><summary>More</summary><details><summary>Still more</summary>
    <input id="square" data-entry="couple.coupling.screw_square_mm">
  </details></details>
  <input id="anterior" data-entry="shape.trim.anterior_mm">
  <input id="posterior" data-entry="shape.trim.posterior_mm">
  <section data-entry="align.adapters"><p>None yet.</p><button id="add">Add</button></section>`;

describe("an entry of the case document on the page", () => {
  beforeEach(() => {
    document.body.innerHTML = PANEL;
    HTMLElement.prototype.scrollIntoView = vi.fn();
  });

  it("belongs to the panel of its stage", () => {
    expect(stageOfEntry("prove.wall_mm")).toBe("prove");
    expect(stageOfEntry("person.mass_kg")).toBe("assess");
    expect(stageOfEntry("liner.cap_thickness_mm")).toBe("assess");
  });

  it("is its own field, the first of those below it, or the first control of its block", () => {
    expect(fieldOfEntry(document, "shape.trim.posterior_mm")?.id).toBe("posterior");
    expect(fieldOfEntry(document, "shape.trim")?.id).toBe("anterior");
    expect(fieldOfEntry(document, "align.adapters")?.id).toBe("add");
    expect(fieldOfEntry(document, "prove.wall")).toBeNull();
  });

  it("is opened where it is folded away, and takes the focus", () => {
    expect(focusEntry(document, "couple.coupling.screw_square_mm")).toBe(true);
    expect(document.activeElement?.id).toBe("square");
    expect([...document.querySelectorAll("details")].every(({ open }) => open)).toBe(true);
    expect(focusEntry(document, "make.nothing")).toBe(false);
    expect(document.activeElement?.id).toBe("square");
  });
});
