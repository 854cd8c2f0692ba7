import { useEffect, useState } from "react";
import type { RevisionEntry } from "../../api/replies";
import { useCaseState } from "../../workshop/case-context";
import { useService } from "../../workshop/service-context";

/** Revisions that files were made of, the newest first. */
export function useMadeRevisions(): readonly RevisionEntry[] {
  const service = useService();
  const { id, evaluated } = useCaseState();
  const now = evaluated?.revision ?? null;
  const [all, setAll] = useState<readonly RevisionEntry[]>([]);
  useEffect(() => {
    let alive = true;
    if (now !== null) {
      service
        .revisions(id)
        .then((entries) => alive && setAll(entries))
        // The list stays as it was; the page says elsewhere when the service is lost.
        .catch(() => undefined);
    }
    return () => {
      alive = false;
    };
  }, [service, id, now]);
  return all.filter(({ made }) => made).reverse();
}
