import { describe, expect, it } from "vitest";
import { type CaseState, emptyCase, isCurrent, reduceCase } from "./case-state";
import { smallDocument, smallEvaluation } from "./testing";

const opened = (): CaseState =>
  reduceCase(emptyCase("a"), {
    type: "opened",
    stored: { record: "r", revision: 1, document: smallDocument() },
  });

const evaluated = (): CaseState =>
  reduceCase(opened(), { type: "evaluated", evaluation: smallEvaluation(1), edit: 0 });

const kinds = ({ stages }: CaseState): string[] => Object.values(stages).map((one) => one.kind);

describe("the state of a case", () => {
  it("shows every stage as running until the first evaluation", () => {
    expect(new Set(kinds(opened()))).toEqual(new Set(["running"]));
    expect(isCurrent(opened())).toBe(false);
    expect(isCurrent(evaluated())).toBe(true);
  });

  it("ages the edited stage and all after it, and none before", () => {
    const state = reduceCase(evaluated(), {
      type: "edited",
      section: "shape",
      document: smallDocument(),
      at: 0,
    });
    expect(kinds(state)).toEqual([
      "ready",
      "ready",
      "stale",
      "stale",
      "stale",
      "stale",
      "empty",
      "empty",
    ]);
    expect(isCurrent(state)).toBe(false);
  });

  it("keeps what a newer edit touches stale when an older evaluation arrives", () => {
    let state = evaluated();
    state = reduceCase(state, {
      type: "edited",
      section: "shape",
      document: smallDocument(),
      at: 0,
    });
    state = reduceCase(state, {
      type: "edited",
      section: "align",
      document: smallDocument(3),
      at: 0,
    });
    state = reduceCase(state, { type: "evaluated", evaluation: smallEvaluation(2), edit: 1 });
    expect(kinds(state).slice(2, 6)).toEqual(["ready", "ready", "stale", "stale"]);
    expect(isCurrent(state)).toBe(false);
    state = reduceCase(state, { type: "evaluated", evaluation: smallEvaluation(3), edit: 2 });
    expect(isCurrent(state)).toBe(true);
  });

  it("does not let a saved reply overwrite an edit made meanwhile", () => {
    const mine = smallDocument(7);
    let state = reduceCase(evaluated(), {
      type: "edited",
      section: "align",
      document: smallDocument(5),
      at: 0,
    });
    state = reduceCase(state, { type: "edited", section: "align", document: mine, at: 0 });
    const stored = { revision: 2, document: smallDocument(5) };
    state = reduceCase(state, { type: "saved", stored, look: null, edit: 1 });
    expect(state.document).toBe(mine);
    state = reduceCase(state, {
      type: "saved",
      stored: { revision: 3, document: smallDocument(7) },
      look: null,
      edit: 2,
    });
    expect(state.document).toBe(state.stored?.document);
  });

  it("takes a placed landmark over beside an edit made meanwhile", () => {
    let state = reduceCase(evaluated(), {
      type: "edited",
      section: "capture",
      document: smallDocument(),
      at: 0,
    });
    state = reduceCase(state, {
      type: "edited",
      section: "align",
      document: smallDocument(7),
      at: 0,
    });
    const document = structuredClone(smallDocument());
    const points = { ...document.capture.landmarks.points, limb_end: [0, 0, -140] as const };
    const placed = {
      ...document,
      capture: { ...document.capture, landmarks: { ...document.capture.landmarks, points } },
    };
    state = reduceCase(state, {
      type: "placed",
      stored: { revision: 2, document: placed },
      edit: 1,
    });
    expect(state.document?.align.foot_inset_mm).toBe(7);
    expect(state.document?.capture.landmarks.points.limb_end).toEqual([0, 0, -140]);
  });

  it("takes a step back as an edit that ages what it changes", () => {
    let state = evaluated();
    const before = state.document;
    const document = smallDocument(3);
    state = reduceCase(state, { type: "edited", section: "align", document, at: 0 });
    state = reduceCase(state, {
      type: "saved",
      stored: { revision: 2, document: structuredClone(document) },
      look: null,
      edit: 1,
    });
    state = reduceCase(state, { type: "evaluated", evaluation: smallEvaluation(2), edit: 1 });
    state = reduceCase(state, { type: "stepped", way: "back" });
    expect(state.document).toBe(before);
    expect(kinds(state)).toEqual([
      "ready",
      "ready",
      "ready",
      "ready",
      "stale",
      "stale",
      "empty",
      "empty",
    ]);
    state = reduceCase(state, { type: "stepped", way: "forward" });
    expect(state.document?.align.foot_inset_mm).toBe(3);
    expect(reduceCase(state, { type: "stepped", way: "forward" })).toBe(state);
  });

  it("has nothing to take back after another's case was taken over", () => {
    let state = evaluated();
    const document = smallDocument(3);
    state = reduceCase(state, { type: "edited", section: "align", document, at: 0 });
    state = reduceCase(state, { type: "opened", stored: { record: "r", revision: 9, document } });
    expect(state.history.past).toEqual([]);
  });

  it("keeps a failed stage's sentence while it is computed anew", () => {
    const evaluation = smallEvaluation(1);
    const failed = {
      state: "failed",
      error: { message: "The trim line crosses itself.", where: null },
      findings: [],
      results: null,
    } as const;
    let state = reduceCase(opened(), {
      type: "evaluated",
      evaluation: { ...evaluation, stages: { ...evaluation.stages, shape: failed } },
      edit: 0,
    });
    state = reduceCase(state, {
      type: "edited",
      section: "shape",
      document: smallDocument(),
      at: 0,
    });
    expect(state.stages.shape).toMatchObject({
      kind: "failed",
      sentence: "The trim line crosses itself.",
    });
  });

  it("shows a stage without a result as failed, never as ready", () => {
    const evaluation = smallEvaluation(1);
    const hollow = { state: "ready", error: null, findings: [], results: null } as const;
    const state = reduceCase(opened(), {
      type: "evaluated",
      evaluation: { ...evaluation, stages: { ...evaluation.stages, prove: hollow } },
      edit: 0,
    });
    expect(state.stages.prove.kind).toBe("failed");
  });
});
