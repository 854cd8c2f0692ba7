import { createContext, type ReactNode, useContext, useEffect, useState } from "react";
import type { SocketShape } from "../api/results";
import { useCaseState } from "./case-context";
import { floats } from "./painting";
import { useService } from "./service-context";
import { useArrays, useResults } from "./use-viewer";

/** The socket's shape at an earlier moment, to hold the present one against. */
export interface Before {
  readonly revision: number;
  /** Whether it is the shape that the case was opened with. */
  readonly opening: boolean;
  readonly shape: SocketShape;
  readonly positions: Float32Array;
}

interface BeforeValue {
  readonly before: Before | null;
  /** Hold what follows against the shape as it stands now; null while that is not computed. */
  readonly holdAgainstNow: (() => void) | null;
}

const BeforeContext = createContext<BeforeValue>({ before: null, holdAgainstNow: null });

export function useBefore(): BeforeValue {
  return useContext(BeforeContext);
}

/** Keeps the shape that the case was opened with, until another moment is chosen. */
export function BeforeProvider({ children }: { children: ReactNode }) {
  const service = useService();
  const { id, evaluated, arrays: entries, stages } = useCaseState();
  const shape = useResults("shape");
  const arrays = useArrays();
  const [before, setBefore] = useState<Before | null>(null);
  const entry = entries["rectified.positions"];
  const current = stages.shape.kind === "ready" && evaluated !== null;
  // biome-ignore lint/correctness/useExhaustiveDependencies: taken once, with the first results
  useEffect(() => {
    if (before !== null || !current || shape === null || entry === undefined) {
      return;
    }
    let alive = true;
    service
      .array(id, "rectified.positions", entry)
      .then((positions) => {
        if (alive && positions instanceof Float32Array) {
          setBefore({ revision: evaluated.revision, opening: true, shape, positions });
        }
      })
      // The plots then have no second line; everything else works without it.
      .catch(() => undefined);
    return () => {
      alive = false;
    };
  }, [current, entry?.key, before]);
  const positions = floats(arrays, "rectified.positions");
  const holdAgainstNow =
    current && shape !== null && positions !== null
      ? () => setBefore({ revision: evaluated.revision, opening: false, shape, positions })
      : null;
  return <BeforeContext value={{ before, holdAgainstNow }}>{children}</BeforeContext>;
}
