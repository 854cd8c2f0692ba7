import { describe, expect, it } from "vitest";
import type { FirstLook } from "../api/replies";
import { type CaseState, emptyCase, isCurrent, reduceCase } from "./case-state";
import { smallDocument, smallEvaluation } from "./testing";
import type { Section } from "./touched";

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

  const afterEdit = (section: Section): string[] =>
    kinds(
      reduceCase(evaluated(), { type: "edited", section, document: smallDocument(), at: 0 }),
    ).slice(0, 6);

  it("ages the stages that read what was edited, earlier ones too, and no other", () => {
    const [ready, stale] = ["ready", "stale"];
    // The casting plan beside the captured limb reads the trim line.
    expect(afterEdit("shape")).toEqual([ready, stale, stale, stale, stale, stale]);
    // The kind of coupling speaks in the assessment, and shapes nothing.
    expect(afterEdit("couple")).toEqual([stale, stale, ready, stale, stale, stale]);
    // The seat is weighed with where the bench wants the foot.
    expect(afterEdit("align")).toEqual([ready, ready, ready, stale, stale, stale]);
    expect(afterEdit("fit")).toEqual([ready, ready, ready, ready, ready, ready]);
  });

  it("leaves fresh what a first look told when a later edit does not touch it", () => {
    const document = smallDocument();
    let state = reduceCase(evaluated(), { type: "edited", section: "shape", document, at: 0 });
    const { stages, ...rest } = smallEvaluation(2);
    const look = { ...rest, stages: { shape: stages.shape }, pressure: null } as FirstLook;
    state = reduceCase(state, { type: "looked", look, edit: 1 });
    state = reduceCase(state, { type: "edited", section: "align", document, at: 0 });
    expect(state.stages.shape.kind).toBe("ready");
    expect(state.stages.capture.kind).toBe("stale");
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
    expect(kinds(state).slice(2, 6)).toEqual(["ready", "stale", "stale", "stale"]);
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
      "stale",
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
