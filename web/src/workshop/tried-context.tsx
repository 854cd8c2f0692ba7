import { createContext, type ReactNode, useContext, useEffect, useMemo, useState } from "react";
import type { MoveOutcome } from "../api/replies";
import { useCaseState } from "../case/case-context";
import { useService } from "../case/service-context";
import { triedArray } from "../state/array-names";

/** What a foot tried elsewhere does, as far as it is computed. */
export interface Tried {
  readonly outcome: MoveOutcome;
  /** False while that of a newer place is computed. */
  readonly current: boolean;
}

interface TriedValue {
  readonly tried: Tried | null;
  readonly tell: (next: (before: Tried | null) => Tried | null) => void;
}

const TriedContext = createContext<TriedValue>({ tried: null, tell: () => undefined });

/** Brings what is tried at the leg to the picture, which stands beside it. */
export function TriedProvider({ children }: { children: ReactNode }) {
  const [tried, tell] = useState<Tried | null>(null);
  const value = useMemo(() => ({ tried, tell }), [tried]);
  return <TriedContext value={value}>{children}</TriedContext>;
}

export function useTellTried(): TriedValue["tell"] {
  return useContext(TriedContext).tell;
}

/** Pressures in kPa of the leg as tried, at the places of the limb. */
export interface TriedPressure {
  /** Null where the load finds no equilibrium, and while they are fetched. */
  readonly values: Float32Array | null;
  readonly held: boolean;
  readonly current: boolean;
}

/** The pressure of what is tried under a load; null where nothing is, or it is not wanted. */
export function useTriedPressure(loadCase: string, isWanted: boolean): TriedPressure | null {
  const service = useService();
  const { id } = useCaseState();
  const { tried } = useContext(TriedContext);
  const [fetched, setFetched] = useState<{ key: string; values: Float32Array } | null>(null);
  const name = triedArray(loadCase);
  const entry = isWanted ? tried?.outcome.arrays[name] : undefined;
  // biome-ignore lint/correctness/useExhaustiveDependencies: the key says what the values are
  useEffect(() => {
    let alive = true;
    if (entry !== undefined) {
      service
        .arrays(id, { [name]: entry })
        .then((found) => {
          const values = found.get(name);
          if (alive && values instanceof Float32Array) {
            setFetched({ key: entry.key, values });
          }
        })
        // The next place that is tried brings its own; the numbers beside the drawing stand.
        .catch(() => undefined);
    }
    return () => {
      alive = false;
    };
  }, [service, id, name, entry?.key]);
  return useMemo(() => {
    if (!isWanted || tried === null) {
      return null;
    }
    const held = entry !== undefined;
    const isNewest = fetched?.key === entry?.key;
    return {
      values: held ? (fetched?.values ?? null) : null,
      held,
      current: tried.current && (!held || isNewest),
    };
  }, [isWanted, tried, entry, fetched]);
}
