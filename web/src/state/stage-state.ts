/** What is known of each stage at this moment. */

import type { StageReplies, StageReply } from "../api/replies";
import type { Finding, ResultsByStage, StageName } from "../api/results";

export type StageState<Results> =
  | { readonly kind: "empty" }
  | { readonly kind: "running" }
  | { readonly kind: "ready"; readonly results: Results; readonly findings: readonly Finding[] }
  /** Computed from an earlier state of the case; shown dimmed until replaced. */
  | { readonly kind: "stale"; readonly results: Results; readonly findings: readonly Finding[] }
  | {
      readonly kind: "failed";
      readonly sentence: string;
      readonly where: string | null;
      readonly findings: readonly Finding[];
    }
  /** An earlier stage failed, so that this one could not begin. */
  | { readonly kind: "blocked"; readonly sentence: string };

export type StageStates = { readonly [Name in StageName]: StageState<ResultsByStage[Name]> };

/** The stages in the order of the job; an edit in one leaves all before it as they are. */
export const JOB_ORDER: readonly StageName[] = [
  "assess",
  "capture",
  "shape",
  "couple",
  "align",
  "prove",
  "make",
  "fit",
];

export function allStages(kind: "empty" | "running"): StageStates {
  return mapStages(() => ({ kind }));
}

/** States after an evaluation; `staleFrom` is the first stage that a later edit touches. */
export function evaluatedStages(replies: StageReplies, staleFrom: number): StageStates {
  return mapStages((name, index) => {
    const state = fromReply(replies[name]);
    return index >= staleFrom ? aged(state) : state;
  });
}

/** States after a first look, which tells some stages and leaves the others as old as they were. */
export function lookedStages(states: StageStates, replies: StageReplies): StageStates {
  return mapStages((name) =>
    replies[name] === undefined ? states[name] : fromReply(replies[name]),
  );
}

/** States after an edit of the stage at `from` in the order of the job. */
export function agedStages(states: StageStates, from: number): StageStates {
  return mapStages((name, index) => (index >= from ? aged(states[name]) : states[name]));
}

/** States once it is known that nothing changed after all. */
export function freshStages(states: StageStates): StageStates {
  return mapStages((name) => fresh(states[name]));
}

function fresh<Results>(state: StageState<Results>): StageState<Results> {
  return state.kind === "stale" ? { ...state, kind: "ready" } : state;
}

function fromReply<Results>(reply: StageReply<Results> | undefined): StageState<Results> {
  if (reply === undefined || reply.state === "not asked") {
    return { kind: "empty" };
  }
  const sentence = reply.error?.message ?? "";
  if (reply.state === "blocked") {
    return { kind: "blocked", sentence };
  }
  if (reply.state === "failed" || reply.results === null) {
    return {
      kind: "failed",
      sentence,
      where: reply.error?.where ?? null,
      findings: reply.findings,
    };
  }
  return { kind: "ready", results: reply.results, findings: reply.findings };
}

/** A failure has no result to dim; its sentence stands until the next evaluation replaces it. */
function aged<Results>(state: StageState<Results>): StageState<Results> {
  return state.kind === "ready" ? { ...state, kind: "stale" } : state;
}

function mapStages(
  make: <Name extends StageName>(name: Name, index: number) => StageState<ResultsByStage[Name]>,
): StageStates {
  const entries = JOB_ORDER.map((name, index) => [name, make(name, index)] as const);
  return Object.fromEntries(entries) as unknown as StageStates;
}
