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

/** The stages in the order of the job. */
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

/** States after an evaluation; later edits touch the `stale` ones. */
export function evaluatedStages(replies: StageReplies, stale: ReadonlySet<StageName>): StageStates {
  return mapStages((name) => {
    const state = fromReply(replies[name]);
    return stale.has(name) ? aged(state) : state;
  });
}

/** States after a first look, which tells some stages and leaves the others as old as they were. */
export function lookedStages(states: StageStates, replies: StageReplies): StageStates {
  return mapStages((name) =>
    replies[name] === undefined ? states[name] : fromReply(replies[name]),
  );
}

/** States after an edit that touches the `stale` ones; the others are left as they are. */
export function agedStages(states: StageStates, stale: ReadonlySet<StageName>): StageStates {
  return mapStages((name) => (stale.has(name) ? aged(states[name]) : states[name]));
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
  make: <Name extends StageName>(name: Name) => StageState<ResultsByStage[Name]>,
): StageStates {
  const entries = JOB_ORDER.map((name) => [name, make(name)] as const);
  return Object.fromEntries(entries) as unknown as StageStates;
}
