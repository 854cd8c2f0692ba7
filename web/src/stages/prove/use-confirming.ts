import { useEffect, useState } from "react";
import type { Service } from "../../api/client";
import { ServiceLost, sentenceOf } from "../../api/errors";
import type { Confirmation, Job, MeshLevel } from "../../api/replies";
import { type Followed, useFollowedJob } from "../../workshop/use-followed-job";

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
  const { followed, start } = useFollowedJob(service, caseId, "confirm");
  const job = followed.kind === "known" ? followed.job : null;
  const { found, fault } = useFound(service, caseId, job?.state === "done" ? job.job : null);
  const confirming = toConfirming(followed);
  return {
    confirming:
      confirming.kind === "idle" && fault !== null
        ? { kind: "failed", sentence: fault }
        : confirming,
    found,
    start: (mesh) => start(() => service.startConfirming(caseId, revision, mesh)),
    cancel: () => {
      if (job !== null) {
        service.cancel(job.job).catch(() => undefined);
      }
    },
  };
}

/** What the last run found, looked up on coming here and again after each run that is `done`. */
function useFound(
  service: Service,
  caseId: string,
  done: string | null,
): { readonly found: Confirmation | null; readonly fault: string | null } {
  const [found, setFound] = useState<Confirmation | null>(null);
  const [fault, setFault] = useState<string | null>(null);
  useEffect(() => {
    let here = true;
    const lookUp = async (): Promise<void> => {
      try {
        const result = await service.confirmation(caseId);
        if (here) {
          setFound(result);
          setFault(null);
        }
      } catch (error) {
        // Before any run there is nothing to miss: the banner tells of a service that is lost.
        if (here && (done !== null || !(error instanceof ServiceLost))) {
          setFault(sentenceOf(error));
        }
      }
    };
    void lookUp();
    return () => {
      here = false;
    };
  }, [service, caseId, done]);
  return { found, fault };
}

function toConfirming(followed: Followed): Confirming {
  switch (followed.kind) {
    case "starting":
      return { kind: "running", share: 0, text: "starting" };
    case "known":
      return ofJob(followed.job);
    case "idle":
    case "failed":
      return followed;
  }
}

function ofJob(job: Job): Confirming {
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
