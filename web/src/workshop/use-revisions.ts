import { useEffect, useState } from "react";
import { sentenceOf } from "../api/errors";
import type { RevisionEntry } from "../api/replies";
import { useCaseState } from "../case/case-context";
import { useService } from "../case/service-context";

interface RevisionList {
  /** Oldest first; null until they are known. */
  readonly entries: readonly RevisionEntry[] | null;
  readonly problem: string | null;
}

/** All revisions; asked anew when another one is shown, and not before there is one. */
export function useRevisions(shown: number | null): RevisionList {
  const service = useService();
  const { id } = useCaseState();
  const [list, setList] = useState<RevisionList>({ entries: null, problem: null });
  useEffect(() => {
    let alive = true;
    if (shown !== null) {
      service
        .revisions(id)
        .then((entries) => alive && setList({ entries, problem: null }))
        // The list stays as it was.
        .catch(
          (error: unknown) => alive && setList((now) => ({ ...now, problem: sentenceOf(error) })),
        );
    }
    return () => {
      alive = false;
    };
  }, [service, id, shown]);
  return list;
}

/** All revisions but the one that is shown, the newest first. */
export function useOtherRevisions(): readonly RevisionEntry[] {
  const shown = useEvaluated();
  const { entries } = useRevisions(shown);
  return (entries ?? []).filter(({ number }) => number !== shown).reverse();
}

/** Revisions that files were made of, the newest first. */
export function useMadeRevisions(): readonly RevisionEntry[] {
  const { entries } = useRevisions(useEvaluated());
  return (entries ?? []).filter(({ made }) => made).reverse();
}

function useEvaluated(): number | null {
  return useCaseState().evaluated?.revision ?? null;
}
