import { createContext, type ReactNode, useContext, useEffect, useRef, useState } from "react";
import type { Service } from "../api/client";
import { sentenceOf } from "../api/errors";
import type { ArrayEntries } from "../api/replies";
import type { SocketShape } from "../api/results";
import { useCaseState } from "../case/case-context";
import { useService } from "../case/service-context";
import { floats } from "./painting";
import { useArrays, useResults } from "./use-viewer";

const SHAPED = "rectified.positions";

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
  /** Hold what stands against the shape of another revision, once that is computed. */
  readonly holdAgainst: (revision: number) => void;
  /** The revision whose shape is being computed, or why it cannot be held against this one. */
  readonly asked: { readonly revision: number; readonly problem: string | null } | null;
}

const BeforeContext = createContext<BeforeValue>({
  before: null,
  holdAgainstNow: null,
  holdAgainst: () => undefined,
  asked: null,
});

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
  const [asked, setAsked] = useState<BeforeValue["asked"]>(null);
  const newest = useRef(0);
  const entry = entries[SHAPED];
  const current = stages.shape.kind === "ready" && evaluated !== null;
  // biome-ignore lint/correctness/useExhaustiveDependencies: taken once, with the first results
  useEffect(() => {
    if (before !== null || !current || shape === null || entry === undefined) {
      return;
    }
    let alive = true;
    service
      .arrays(id, { [SHAPED]: entry })
      .then((found) => {
        const positions = found.get(SHAPED);
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
  const positions = floats(arrays, SHAPED);
  const take = (next: Before): void => {
    newest.current += 1;
    setAsked(null);
    setBefore(next);
  };
  const holdAgainstNow =
    current && shape !== null && positions !== null
      ? () => take({ revision: evaluated.revision, opening: false, shape, positions })
      : null;
  const holdAgainst = (revision: number): void => {
    newest.current += 1;
    const mine = newest.current;
    setAsked({ revision, problem: null });
    shapeOf(service, id, revision, entries).then(
      (found) => mine === newest.current && take(found),
      (error: unknown) =>
        mine === newest.current && setAsked({ revision, problem: sentenceOf(error) }),
    );
  };
  return (
    <BeforeContext value={{ before, holdAgainstNow, holdAgainst, asked }}>{children}</BeforeContext>
  );
}

/** The shape of a revision, if it is one on the limb that stands: another has other places. */
async function shapeOf(
  service: Service,
  id: string,
  revision: number,
  standing: ArrayEntries,
): Promise<Before> {
  const { stages, arrays } = await service.revisionEvaluation(id, revision);
  const other = ["limb.positions", "limb.faces"].some(
    (name) => arrays[name]?.key !== standing[name]?.key,
  );
  if (other) {
    throw new Error(
      `Revision ${revision.toString()} was captured otherwise: its scan, landmarks or bones differ, so its shape cannot be held against this one.`,
    );
  }
  const entry = arrays[SHAPED];
  const shape = stages.shape?.results ?? null;
  const positions = entry && (await service.arrays(id, { [SHAPED]: entry })).get(SHAPED);
  if (shape === null || !(positions instanceof Float32Array)) {
    throw new Error(
      stages.shape?.error?.message ?? `Revision ${revision.toString()} has no shape.`,
    );
  }
  return { revision, opening: false, shape, positions };
}
