import { describe, expect, it } from "vitest";
import type { CaseDocument } from "../../api/document";
import type { Suggestion } from "../../api/results";
import { smallDocument } from "../../state/testing";
import { METRIC, quantityText, type UnitChoice } from "../../units/display";
import type { Moved } from "./apply-edits";
import { appliedFrom, movedWords, pressWords } from "./moved-words";

const PATH = "shape.areas.popliteal.depth_mm";
const MOVED: Moved = { path: PATH, was: -2.5, now: -2, value: -1.5 };
const LESS: Suggestion = {
  text: "less",
  edits: [{ path: PATH, value: -1.5, was: -2.5, level_mm: null }],
};

const plain = (words: string): string => words.replaceAll("\u00a0", " ");
const writtenIn = (choice: UnitChoice) => (value: number, unit: string, digits?: number) =>
  quantityText(value, unit, choice, digits);
const metric = writtenIn(METRIC);

describe("a suggestion whose plan moved since it was worn", () => {
  it("says from what it counts and what the plan has now", () => {
    expect(plain(movedWords(MOVED, smallDocument(), false, metric))).toBe(
      "2.5 mm as worn, 2.0 mm in the plan now",
    );
  });

  it("says on its button what the press changes, in the units shown", () => {
    expect(plain(pressWords(LESS, [MOVED], metric))).toBe("Change the plan from 2.0 mm to 1.5 mm");
    const inches = writtenIn({ length: "inch", mass: "lb" });
    // 2/25.4 = 0.079, 1.5/25.4 = 0.059
    expect(plain(pressWords(LESS, [MOVED], inches))).toBe(
      "Change the plan from 0.08 in to 0.06 in",
    );
    expect(pressWords(LESS, [], metric)).toBe("Change the plan so");
  });

  it("names each of several places, and what stays", () => {
    const document = {
      ...smallDocument(),
      shape: { areas: [], take_up: [{ level_mm: 40, girth_percent: 4 }] },
    } as unknown as CaseDocument;
    const taken: Moved = { path: "shape.take_up.0.girth_percent", was: 2, now: 4, value: 3 };
    expect(plain(movedWords(taken, document, true, metric))).toBe(
      "40.0 mm below MPT: 2 % as worn, 4 % in the plan now, further already: it stays",
    );
  });

  it("says once it was taken what the plan went from, where that is not what was worn", () => {
    const said = { cause: "", text: "less", date: "2030-02-03", revision: 7 };
    const from = (before: number) => ({ ...said, edits: [{ path: PATH, before, after: -1.5 }] });
    expect(appliedFrom(from(-2.5), LESS, metric)).toBe("");
    expect(plain(appliedFrom(from(-2), LESS, metric))).toBe(
      " The plan went from 2.0 mm to 1.5 mm.",
    );
  });
});
