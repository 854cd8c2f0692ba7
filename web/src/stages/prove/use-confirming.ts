import { useCallback, useEffect, useRef, useState } from "react";
import type { Service } from "../../api/client";
import { sentenceOf } from "../../api/errors";
import { followJob, lastJob } from "../../api/jobs";
import type { Confirmation, Job, MeshLevel } from "../../api/replies";

export type Confirming =
  | { readonly kind: "idle" }
  | { readonly kind: "running"; readonly share: number; readonly text: string }
  | { readonly kind: "stopped" }
  | { readonly kind: "failed"; readonly sentence: string };

export interface ConfirmingState {
  readonly confirming: Confirming;
  /** What the last run found; also of an earlier visit to this page. */
  readonly found: Confirmation | null;
  readonly start: (mesh: MeshLevel | null) => void;
  readonly cancel: () => void;
}

/** A thorough run beside the edits: started by hand, followed to its end, stopped at will. */
export function useConfirming(service: Service, caseId: string, revision: number): ConfirmingState {
  const [confirming, setConfirming] = useState<Confirming>({ kind: "idle" });
  const [found, setFound] = useState<Confirmation | null>(null);
  /** The job that is shown; null before any and once the panel is left. */
  const shown = useRef<string | null>(null);

  const follow = useCallback(
    async (id: string): Promise<void> => {
      shown.current = id;
      const isShown = (): boolean => shown.current === id;
      let last: Job | null = null;
      await followJob(service, id, isShown, (job) => {
        last = job;
        setConfirming(toConfirming(job));
      });
      if (last !== null && (last as Job).state === "done") {
        const result = await service.confirmation(caseId);
        if (isShown()) {
          setFound(result);
        }
      }
    },
    [service, caseId],
  );
  const fail = (error: unknown): void =>
    setConfirming({ kind: "failed", sentence: sentenceOf(error) });

  useEffect(() => {
    let here = true;
    const takeUp = async (): Promise<void> => {
      const [result, job] = await Promise.all([
        service.confirmation(caseId),
        lastJob(service, caseId, "confirm"),
      ]);
      if (!here) {
        return;
      }
      setFound(result);
      if (job !== null && job.state !== "cancelled" && shown.current === null) {
        await follow(job.job);
      }
    };
    // The banner tells of a service that is lost.
    takeUp().catch(() => undefined);
    return () => {
      here = false;
      shown.current = null;
    };
  }, [service, caseId, follow]);

  return {
    confirming,
    found,
    start: (mesh) => {
      setConfirming({ kind: "running", share: 0, text: "starting" });
      service.startConfirming(caseId, revision, mesh).then(follow).catch(fail);
    },
    cancel: () => {
      if (shown.current !== null) {
        service.cancel(shown.current).catch(() => undefined);
      }
    },
  };
}

function toConfirming(job: Job): Confirming {
  switch (job.state) {
    case "running":
      return { kind: "running", share: job.progress, text: job.text };
    case "done":
      return { kind: "idle" };
    case "cancelled":
      return { kind: "stopped" };
    case "failed":
      return { kind: "failed", sentence: job.error ?? job.text };
  }
}
