import { useCallback, useEffect, useRef, useState } from "react";
import type { Service } from "../../api/client";
import { sentenceOf } from "../../api/errors";
import { askedJob } from "../../api/jobs";
import type { Confirmation, Job, MeshLevel } from "../../api/replies";

const POLL_MS = 500;

export type Confirming =
  | { readonly kind: "idle" }
  | {
      readonly kind: "running";
      readonly job: string | null;
      readonly share: number;
      readonly text: string;
    }
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
export function useConfirming(service: Service, caseId: string): ConfirmingState {
  const [confirming, setConfirming] = useState<Confirming>({ kind: "idle" });
  const [found, setFound] = useState<Confirmation | null>(null);
  const alive = useRef(true);
  const job = useRef<string | null>(null);

  const load = useCallback(async (): Promise<void> => {
    const result = await service.confirmation(caseId);
    if (alive.current) {
      setFound(result);
    }
  }, [service, caseId]);

  useEffect(() => {
    alive.current = true;
    load().catch(() => undefined);
    return () => {
      alive.current = false;
    };
  }, [load]);

  const follow = async (mesh: MeshLevel | null): Promise<void> => {
    const own = await service.startConfirming(caseId, mesh);
    job.current = own;
    while (alive.current && job.current === own) {
      const now = await askedJob(service, own);
      if (now !== null && now.state !== "running") {
        await finish(now);
        return;
      }
      if (now !== null) {
        setConfirming({ kind: "running", job: own, share: now.progress, text: now.text });
      }
      await new Promise((resolve) => setTimeout(resolve, POLL_MS));
    }
  };

  const finish = async (now: Job): Promise<void> => {
    if (now.state === "done") {
      await load();
      setConfirming({ kind: "idle" });
    } else if (now.state === "cancelled") {
      setConfirming({ kind: "stopped" });
    } else {
      setConfirming({ kind: "failed", sentence: now.error ?? now.text });
    }
  };

  return {
    confirming,
    found,
    start: (mesh) => {
      setConfirming({ kind: "running", job: null, share: 0, text: "starting" });
      follow(mesh).catch((error: unknown) =>
        setConfirming({ kind: "failed", sentence: sentenceOf(error) }),
      );
    },
    cancel: () => {
      if (job.current !== null) {
        service.cancel(job.current).catch(() => undefined);
      }
    },
  };
}
