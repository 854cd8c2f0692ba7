/** The state of the case on the page and how each event changes it. Pure: no request, no clock. */

import type { CaseDocument } from "../api/document";
import type {
  ArrayEntries,
  Evaluation,
  FirstLook,
  Look,
  OpenedCase,
  Problem,
  StoredCase,
} from "../api/replies";
import { LOOKED_AT } from "../api/replies";
import type { CasePressure, Finding } from "../api/results";
import { type History, NO_HISTORY, remember, stepBack, stepForward } from "./history";
import {
  agedStages,
  allStages,
  evaluatedStages,
  freshStages,
  JOB_ORDER,
  lookedStages,
  type StageStates,
} from "./stage-state";
import { EVERYTHING, type Section, type Touch, touchOf } from "./touched";
import type { Unsaved } from "./unsaved";

export type Connection =
  | { readonly kind: "fine" }
  | { readonly kind: "lost"; readonly sentence: string };

export interface CaseState {
  readonly id: string;
  /** Tells the case that was opened from any other of the same folder; null before. */
  readonly record: string | null;
  /** As last acknowledged by the service; null until opened. */
  readonly stored: StoredCase | null;
  /** As edited here; may be ahead of `stored`. */
  readonly document: CaseDocument | null;
  /** Number of edits made here. */
  readonly edits: number;
  /** Steps made here that can be taken back or again. */
  readonly history: History;
  /** Edits that no evaluation covers yet: their number and what they touch. */
  readonly uncovered: readonly ({ readonly edit: number } & Touch)[];
  readonly stages: StageStates;
  readonly findings: readonly Finding[];
  readonly cautions: readonly string[];
  readonly arrays: ArrayEntries;
  readonly evaluated: { readonly revision: number; readonly elapsedMs: number } | null;
  /** Arrays that a first look at the newest edit brought; the others are as old as the results. */
  readonly looked: {
    readonly edit: number;
    readonly arrays: ReadonlySet<string>;
    readonly pressure: CasePressure | null;
  } | null;
  readonly working: boolean;
  readonly connection: Connection;
  /** Another page or program changed the case; the sentence says so. */
  readonly conflict: string | null;
  /** What the service found wrong with the document as edited here. */
  readonly problems: readonly Problem[];
  readonly refusal: string | null;
  /** What an earlier visit of this tab could not store, until a person has chosen. */
  readonly unsaved: Unsaved | null;
}

export type CaseEvent =
  | { readonly type: "opened"; readonly stored: OpenedCase }
  | {
      readonly type: "edited";
      readonly section: Section;
      readonly document: CaseDocument;
      /** When, in ms: edits of one place in quick succession are one step. */
      readonly at: number;
      /** The drag that it belongs to, which is one step as a whole. */
      readonly gesture?: string | null;
    }
  | { readonly type: "stepped"; readonly way: "back" | "forward" }
  | { readonly type: "steps found"; readonly history: History }
  | { readonly type: "working" }
  | { readonly type: "rested" }
  | {
      readonly type: "saved";
      readonly stored: StoredCase;
      readonly look: FirstLook | null;
      readonly edit: number;
    }
  | { readonly type: "placed"; readonly stored: StoredCase; readonly edit: number }
  | { readonly type: "covered"; readonly edit: number }
  | { readonly type: "evaluated"; readonly evaluation: Evaluation; readonly edit: number }
  | {
      readonly type: "looked";
      readonly look: FirstLook;
      readonly edit: number;
    }
  | { readonly type: "refused"; readonly sentence: string; readonly problems: readonly Problem[] }
  | { readonly type: "conflicted"; readonly sentence: string }
  | { readonly type: "overruled"; readonly revision: number }
  | { readonly type: "lost"; readonly sentence: string }
  | { readonly type: "dismissed" }
  | { readonly type: "left over"; readonly unsaved: Unsaved }
  | { readonly type: "taken up"; readonly unsaved: Unsaved }
  | { readonly type: "given up" };

/** Events that tell of a reply: the service is there. */
const ANSWERS: ReadonlySet<CaseEvent["type"]> = new Set([
  "opened",
  "saved",
  "placed",
  "covered",
  "looked",
  "evaluated",
  "refused",
  "conflicted",
  "overruled",
]);

export function emptyCase(id: string): CaseState {
  return {
    id,
    record: null,
    stored: null,
    document: null,
    edits: 0,
    history: NO_HISTORY,
    uncovered: [],
    stages: allStages("empty"),
    findings: [],
    cautions: [],
    arrays: {},
    evaluated: null,
    looked: null,
    working: false,
    connection: { kind: "fine" },
    conflict: null,
    problems: [],
    refusal: null,
    unsaved: null,
  };
}

/** True when everything shown belongs to the document as it stands here. */
export function isCurrent(state: CaseState): boolean {
  return state.evaluated !== null && state.uncovered.length === 0;
}

export function reduceCase(state: CaseState, event: CaseEvent): CaseState {
  const next = changedBy(state, event);
  return ANSWERS.has(event.type) ? { ...next, connection: { kind: "fine" } } : next;
}

function changedBy(state: CaseState, event: CaseEvent): CaseState {
  switch (event.type) {
    case "opened":
      return {
        ...emptyCase(state.id),
        record: event.stored.record,
        stored: event.stored,
        document: event.stored.document,
        edits: state.edits,
        stages: allStages("running"),
        working: state.working,
      };
    case "edited":
      return edited(state, event);
    case "stepped":
      return stepped(state, event.way);
    case "steps found":
      return { ...state, history: event.history };
    case "working":
      return state.working ? state : { ...state, working: true };
    case "rested":
      return { ...state, working: false };
    case "saved":
      return event.look === null
        ? saved(state, event.stored, event.edit)
        : looked(saved(state, event.stored, event.edit), event.look, event.edit);
    case "placed":
      return placed(state, event.stored, event.edit);
    case "covered":
      return covered(state, event.edit);
    case "evaluated":
      return evaluated(state, event.evaluation, event.edit);
    case "looked":
      return looked(state, event.look, event.edit);
    case "refused":
      return { ...state, refusal: event.sentence, problems: event.problems };
    case "conflicted":
      return { ...state, conflict: event.sentence };
    case "overruled":
      return overruled(state, event.revision);
    case "lost":
      return { ...state, connection: { kind: "lost", sentence: event.sentence } };
    case "dismissed":
      return { ...state, refusal: null };
    case "left over":
      return { ...state, unsaved: event.unsaved };
    case "taken up":
      return takenUp({ ...state, unsaved: null }, event.unsaved.document);
    case "given up":
      return { ...state, unsaved: null };
  }
}

function edited(state: CaseState, event: CaseEvent & { type: "edited" }): CaseState {
  const { section, document, at, gesture } = event;
  const history =
    state.document === null
      ? NO_HISTORY
      : remember(state.history, state.document, document, at, gesture ?? null);
  return changed({ ...state, history }, document, touchOf([section]));
}

/** What was left is taken up as one step, which can be taken back. */
function takenUp(state: CaseState, document: CaseDocument): CaseState {
  const history =
    state.document === null ? NO_HISTORY : remember(state.history, state.document, document, 0);
  return changed({ ...state, history: { ...history, last: null } }, document, EVERYTHING);
}

/** A step back or forward is an edit like any other: it is stored, evaluated and may be refused. */
function stepped(state: CaseState, way: "back" | "forward"): CaseState {
  const { document, history } = state;
  if (document === null) {
    return state;
  }
  const step = way === "back" ? stepBack(history, document) : stepForward(history, document);
  if (step === null) {
    return state;
  }
  const differ = (section: Section): boolean =>
    JSON.stringify(step.document[section]) !== JSON.stringify(document[section]);
  const keys = Object.keys(step.document) as (keyof CaseDocument)[];
  const sections = keys.filter(isSection).filter(differ);
  return changed({ ...state, history: step.history }, step.document, touchOf(sections));
}

function isSection(key: keyof CaseDocument): key is Section {
  return key !== "schema_version" && key !== "invented";
}

function changed(state: CaseState, document: CaseDocument, touch: Touch): CaseState {
  const edits = state.edits + 1;
  return {
    ...state,
    document,
    edits,
    working: true,
    uncovered: [...state.uncovered, { edit: edits, ...touch }],
    stages: agedStages(state.stages, touch.stale),
    problems: [],
    refusal: null,
  };
}

/** The service's document replaces ours only if nothing was edited meanwhile. */
function saved(state: CaseState, stored: StoredCase, edit: number): CaseState {
  return {
    ...state,
    stored,
    document: state.edits === edit ? stored.document : state.document,
    problems: [],
    refusal: null,
  };
}

/** A landmark was stored: it is taken over beside whatever else was edited meanwhile. */
function placed(before: CaseState, stored: StoredCase, edit: number): CaseState {
  if (before.document === null) {
    return { ...before, stored, document: stored.document };
  }
  // Never one step with another: each placing is taken back by itself.
  const history = remember(before.history, before.document, stored.document, 0);
  const state = { ...before, history: { ...history, last: null } };
  if (state.edits === edit || state.document === null) {
    return { ...state, stored, document: stored.document };
  }
  const { landmarks } = stored.document.capture;
  const capture = { ...state.document.capture, landmarks };
  return { ...state, stored, document: { ...state.document, capture } };
}

/** Edits that changed nothing need no new evaluation: what they aged is current again. */
function covered(state: CaseState, edit: number): CaseState {
  const uncovered = state.uncovered.filter((one) => one.edit > edit);
  return uncovered.length === 0
    ? { ...state, uncovered, stages: freshStages(state.stages) }
    : { ...state, uncovered };
}

function evaluated(state: CaseState, evaluation: Evaluation, edit: number): CaseState {
  const uncovered = state.uncovered.filter((one) => one.edit > edit);
  const stale = new Set(uncovered.flatMap((one) => [...one.stale]));
  return {
    ...state,
    uncovered,
    stages: evaluatedStages(evaluation.stages, stale),
    findings: evaluation.findings,
    cautions: evaluation.cautions,
    arrays: evaluation.arrays,
    evaluated: { revision: evaluation.revision, elapsedMs: evaluation.elapsed_ms },
    looked: null,
  };
}

/** Stages that a first look holds are shown; those after it stay as old as they were. */
function looked(state: CaseState, look: FirstLook, edit: number): CaseState {
  if (state.edits !== edit) {
    return state;
  }
  return {
    ...state,
    stages: lookedStages(state.stages, look.stages),
    cautions: look.cautions,
    arrays: { ...state.arrays, ...look.arrays },
    looked: { edit, arrays: new Set(Object.keys(look.arrays)), pressure: look.pressure },
  };
}

/**
 * The first look at what was edited that is worth while, with the pressure under a load case; null
 * where none is. On opening it is the limb itself. Earlier stages that read the edit are not looked
 * at: they wait for the evaluation.
 */
export function firstLookOf(state: CaseState, loadCase: string | null): Look | null {
  if (state.evaluated === null) {
    return { since: "assess", upto: "capture", loadCase: null };
  }
  const touched = state.uncovered.map((one) => JOB_ORDER[one.from]);
  if (touched.includes("assess")) {
    return null;
  }
  const [since, ...others] = LOOKED_AT.filter((stage) => touched.includes(stage));
  if (since === undefined) {
    return null;
  }
  return since === "capture"
    ? { since, upto: since, loadCase: null }
    : { since, upto: others.at(-1) ?? since, loadCase };
}

/** Whether those of the named arrays that there are belong to the document as it stands here. */
export function areCurrent(state: CaseState, names: ReadonlySet<string>): boolean {
  if (isCurrent(state)) {
    return true;
  }
  const { looked, arrays } = state;
  const there = [...names].filter((name) => arrays[name] !== undefined);
  return looked?.edit === state.edits && there.every((name) => looked.arrays.has(name));
}

/** Our document shall be stored over the one that another page stored. */
function overruled(state: CaseState, revision: number): CaseState {
  if (state.stored === null) {
    return state;
  }
  return { ...state, conflict: null, stored: { ...state.stored, revision } };
}
