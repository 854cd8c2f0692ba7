/** Steps that can be taken back and taken again. Pure: the clock is the caller's. */

import type { CaseDocument } from "../api/document";

export interface History {
  /** Documents before each step, the oldest first. */
  readonly past: readonly CaseDocument[];
  /** Documents after each step taken back, the next one last. */
  readonly future: readonly CaseDocument[];
  /**
   * Place that the last step changed, and when: one drag of a slider is one step. A drag on the
   * limb is one step however long it takes, known by its gesture.
   */
  readonly last: {
    readonly place: string;
    readonly at: number;
    readonly gesture: string | null;
  } | null;
}

export const NO_HISTORY: History = { past: [], future: [], last: null };

const MOST_STEPS = 200;
/** Changes of one place closer together than this are one step. */
export const ONE_STEP_MS = 1200;

/** The history after a change from one document to another. */
export function remember(
  history: History,
  before: CaseDocument,
  after: CaseDocument,
  at: number,
  gesture: string | null = null,
): History {
  const place = changedPlace(before, after);
  if (place === null) {
    return history;
  }
  const { last, past } = history;
  const now = { place, at, gesture };
  const goesOn = last !== null && sameStep(last, now);
  if (goesOn && gesture !== null && changedPlace(past[past.length - 1], after) === null) {
    // A drag that was given up has come back to where it began: no step is left of it.
    return { past: past.slice(0, -1), future: [], last: null };
  }
  return {
    past: goesOn ? past : [...past, before].slice(-MOST_STEPS),
    future: [],
    last: now,
  };
}

type Step = NonNullable<History["last"]>;

function sameStep(last: Step, now: Step): boolean {
  if (last.gesture !== null || now.gesture !== null) {
    return last.gesture === now.gesture;
  }
  return last.place === now.place && now.at - last.at < ONE_STEP_MS;
}

/** One step back from the document as it stands; null when there is none. */
export function stepBack(
  history: History,
  now: CaseDocument,
): { readonly history: History; readonly document: CaseDocument } | null {
  const document = history.past[history.past.length - 1];
  return document === undefined
    ? null
    : {
        document,
        history: {
          past: history.past.slice(0, -1),
          future: [...history.future, now],
          last: null,
        },
      };
}

/** One step forward again; null when there is none. */
export function stepForward(
  history: History,
  now: CaseDocument,
): { readonly history: History; readonly document: CaseDocument } | null {
  const document = history.future[history.future.length - 1];
  return document === undefined
    ? null
    : {
        document,
        history: {
          past: [...history.past, now],
          future: history.future.slice(0, -1),
          last: null,
        },
      };
}

/** Path of the one place that differs, or of what holds all places that do; null when none does. */
export function changedPlace(before: unknown, after: unknown): string | null {
  if (Object.is(before, after)) {
    return null;
  }
  if (!isTree(before) || !isTree(after)) {
    return "";
  }
  const keys = new Set([...Object.keys(before), ...Object.keys(after)]);
  const changed = [...keys]
    .map((key) => ({ key, inner: changedPlace(before[key], after[key]) }))
    .filter(({ inner }) => inner !== null);
  const [first, second] = changed;
  if (first === undefined) {
    return null;
  }
  return second === undefined ? `${first.key}.${first.inner ?? ""}` : "";
}

function isTree(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null;
}
