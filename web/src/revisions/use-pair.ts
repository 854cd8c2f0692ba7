import { useCallback, useEffect, useMemo, useState } from "react";
import type { ArraySet } from "../api/client";
import { sentenceOf } from "../api/errors";
import type { RevisionPair } from "../browser/route";
import { useService } from "../case/service-context";
import { ArrayStore } from "../state/array-store";
import { loadPair, type Shown, type ShownPair } from "./shown";

export type PairState =
  /** With what was shown before, so that the pictures stay and keep their view. */
  | { readonly kind: "computing"; readonly last: ShownPair | null }
  | { readonly kind: "failed"; readonly sentence: string }
  | { readonly kind: "ready"; readonly pair: ShownPair };

/** Both sides of a comparison, computed when it changes; `again` asks once more. */
export function usePair(
  id: string,
  compared: RevisionPair | "confirmed" | null,
): { state: PairState; again: () => void } {
  const service = useService();
  const [attempt, setAttempt] = useState(0);
  const [state, setState] = useState<PairState>({ kind: "computing", last: null });
  const [before, after] =
    compared === null || compared === "confirmed"
      ? [compared, null]
      : [compared.before, compared.after];
  // biome-ignore lint/correctness/useExhaustiveDependencies: a new attempt asks anew
  useEffect(() => {
    let alive = true;
    setState((now) => ({ kind: "computing", last: now.kind === "ready" ? now.pair : null }));
    const wanted =
      typeof before === "number" && after !== null ? { before, after } : ("confirmed" as const);
    if (before !== null) {
      loadPair(service, id, wanted)
        .then((pair): PairState => ({ kind: "ready", pair }))
        .catch((error: unknown): PairState => ({ kind: "failed", sentence: sentenceOf(error) }))
        .then((next) => alive && setState(next));
    }
    return () => {
      alive = false;
    };
  }, [service, id, before, after, attempt]);
  return { state, again: useCallback(() => setAttempt((now) => now + 1), []) };
}

interface Gathered {
  readonly of: Shown | null;
  readonly arrays: ArraySet;
}

const NONE: Gathered = { of: null, arrays: new Map() };

/** The arrays of one side that its picture needs; none while those of another are held. */
export function useShownArrays(
  id: string,
  shown: Shown,
  wanted: ReadonlySet<string>,
): { arrays: ArraySet; problem: string | null } {
  const service = useService();
  const store = useMemo(() => new ArrayStore(service, id), [service, id]);
  const [gathered, setGathered] = useState(NONE);
  const [problem, setProblem] = useState<string | null>(null);
  useEffect(() => {
    let alive = true;
    store
      .gather(wanted, shown.arrays)
      .then((next) => {
        if (alive) {
          setGathered({ of: shown, arrays: next });
          setProblem(null);
        }
      })
      .catch((error: unknown) => alive && setProblem(sentenceOf(error)));
    return () => {
      alive = false;
    };
  }, [store, shown, wanted]);
  const { arrays } = gathered.of === shown ? gathered : NONE;
  return useMemo(() => ({ arrays, problem }), [arrays, problem]);
}
