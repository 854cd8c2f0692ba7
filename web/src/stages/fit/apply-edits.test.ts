import { describe, expect, it } from "vitest";
import type { CaseDocument, Fitting } from "../../api/document";
import type { Suggestion } from "../../api/results";
import { smallDocument } from "../../state/testing";
import { standingOf, valueAt, withEdits, withoutSuggestion, withSuggestion } from "./apply-edits";

const LESS: Suggestion = {
  text: "let the popliteal press in less by 1.0 mm, from 4.0 to 3.0 mm",
  edits: [{ path: "shape.areas.popliteal.depth_mm", value: -3, was: -4, level_mm: null }],
};
const DEPTH = "shape.areas.popliteal.depth_mm";
const SAID = { cause: "too much pressure there", date: "2030-02-03", revision: 7 };

function withFitting(): CaseDocument {
  const fitting = { date: "2030-02-03", applied: [] } as unknown as Fitting;
  return { ...smallDocument(3), fit: { fittings: [fitting] } };
}

const appliedOf = (document: CaseDocument) => document.fit.fittings[0]?.applied ?? [];

describe("the edits of a suggestion", () => {
  it("change what they name and share the rest", () => {
    const before = smallDocument(3);
    const after = withEdits(before, [
      { path: "shape.areas.popliteal.depth_mm", value: -3 },
      { path: "align.foot_inset_mm", value: 5 },
    ]);
    expect(after.shape.areas[0]?.depth_mm).toBe(-3);
    expect(after.align.foot_inset_mm).toBe(5);
    expect(before.shape.areas[0]?.depth_mm).toBe(-4);
    expect(after.capture).toBe(before.capture);
  });

  it("find a named item wherever it stands in its list", () => {
    const before = smallDocument();
    const other = { ...before.shape.areas[0], name: "fibular_head", depth_mm: 2 };
    const areas = [other, ...before.shape.areas] as CaseDocument["shape"]["areas"];
    const document = { ...before, shape: { ...before.shape, areas } };
    expect(valueAt(document, "shape.areas.popliteal.depth_mm")).toBe(-4);
    const after = withEdits(document, [{ path: "shape.areas.popliteal.depth_mm", value: -3 }]);
    expect(after.shape.areas.map(({ depth_mm }) => depth_mm)).toEqual([2, -3]);
  });

  it.each(["shape.brim.flare_mm", "shape.areas.fibular_head.depth_mm"])(
    "are refused when the case has no %s",
    (path) => {
      expect(() => withEdits(smallDocument(), [{ path, value: 1 }])).toThrow("The case has no");
    },
  );
});

describe("a suggestion that was taken", () => {
  it("is remembered in its fitting and taken back to what stood before", () => {
    const before = withFitting();
    expect(standingOf(before, LESS, appliedOf(before))).toEqual({ kind: "open", moved: [] });
    const after = withSuggestion(before, 0, LESS, SAID);
    expect(after.shape.areas[0]?.depth_mm).toBe(-3);
    const [entry] = appliedOf(after);
    expect(entry).toMatchObject({ ...SAID, text: LESS.text });
    expect(standingOf(after, LESS, appliedOf(after))).toMatchObject({
      kind: "applied",
      changed: false,
    });
    const back = entry === undefined ? after : withoutSuggestion(after, 0, entry);
    expect(back).toEqual(before);
  });

  it("answers every other suggestion for the same place, so that none is taken on top", () => {
    const after = withSuggestion(withFitting(), 0, LESS, SAID);
    const more: Suggestion = {
      text: "another cause, the same place",
      edits: [{ path: "shape.areas.popliteal.depth_mm", value: -2, was: -3, level_mm: null }],
    };
    expect(standingOf(after, more, appliedOf(after)).kind).toBe("applied");
  });

  it("answers none that would go the other way", () => {
    const after = withSuggestion(withFitting(), 0, LESS, SAID);
    const deeper: Suggestion = {
      text: "let the popliteal press in more",
      edits: [{ path: DEPTH, value: -4, was: -3, level_mm: null }],
    };
    expect(standingOf(after, deeper, appliedOf(after))).toEqual({ kind: "open", moved: [] });
  });

  it("says so when the plan was changed there since", () => {
    const after = withSuggestion(withFitting(), 0, LESS, SAID);
    const later = withEdits(after, [{ path: "shape.areas.popliteal.depth_mm", value: -1 }]);
    expect(standingOf(later, LESS, appliedOf(later))).toMatchObject({ changed: true });
  });
});

describe("a suggestion that was not taken", () => {
  it("is held where the plan says the same already", () => {
    const document = withEdits(withFitting(), [{ path: DEPTH, value: -3 }]);
    expect(standingOf(document, LESS, [])).toEqual({ kind: "held" });
  });

  it("tells what was worn and what the plan has now where that moved", () => {
    const document = withEdits(withFitting(), [{ path: DEPTH, value: -3.5 }]);
    const moved = [{ path: DEPTH, was: -4, now: -3.5, value: -3 }];
    expect(standingOf(document, LESS, [])).toEqual({ kind: "open", moved });
    expect(valueAt(withSuggestion(document, 0, LESS, SAID), DEPTH)).toBe(-3);
  });

  it("is never taken backwards where the plan went further that way already", () => {
    const document = withEdits(withFitting(), [{ path: DEPTH, value: -2.5 }]);
    expect(standingOf(document, LESS, [])).toMatchObject({ kind: "beyond" });
    const away = withEdits(withFitting(), [{ path: DEPTH, value: -5 }]);
    expect(standingOf(away, LESS, [])).toMatchObject({ kind: "open" });
  });

  it("leaves alone, of several entries, what went further, and remembers it as seen to", () => {
    const after = withSuggestion(withLevels([20, 4], [60, 2]), 0, MORE, SAID);
    expect(after.shape.take_up.map(({ girth_percent }) => girth_percent)).toEqual([4, 3]);
    expect(standingOf(after, MORE, appliedOf(after))).toMatchObject({
      kind: "applied",
      changed: false,
    });
  });

  it("is not taken where its position in the list has become another level, or is none", () => {
    expect(standingOf(withLevels([20, 2], [60, 2]), MORE, []).kind).toBe("open");
    expect(standingOf(withLevels([20, 2], [40, 2], [60, 2]), MORE, [])).toEqual({
      kind: "elsewhere",
    });
    expect(standingOf(withLevels([20, 2]), MORE, [])).toEqual({ kind: "elsewhere" });
  });
});

const MORE: Suggestion = {
  text: "take up 1 % more of the girth",
  edits: [20, 60].map((level_mm, i) => ({
    path: `shape.take_up.${i.toString()}.girth_percent`,
    value: 3,
    was: 2,
    level_mm,
  })),
};

function withLevels(...levels: readonly (readonly [number, number])[]): CaseDocument {
  const document = withFitting();
  const take_up = levels.map(([level_mm, girth_percent]) => ({ level_mm, girth_percent }));
  return { ...document, shape: { ...document.shape, take_up } } as unknown as CaseDocument;
}
