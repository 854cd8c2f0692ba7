import { useMemo } from "react";
import type { Service } from "../../api/client";
import type { Job } from "../../api/replies";
import { type Followed, useFollowedJob } from "../../workshop/use-followed-job";

export type Making =
  | { readonly kind: "idle" }
  | { readonly kind: "running"; readonly progress: number; readonly text: string }
  | {
      readonly kind: "done";
      readonly text: string;
      readonly revision: number | null;
      readonly files: Job["files"];
    }
  | { readonly kind: "failed"; readonly sentence: string };

/** A making job: started by hand, followed to its end, taken up again on coming back. */
export function useMaking(
  service: Service,
  caseId: string,
  revision: number,
): { making: Making; start: () => void } {
  const { followed, start } = useFollowedJob(service, caseId, "make");
  // Kept while nothing new is told: that something was made is an occasion.
  const making = useMemo(() => toMaking(followed), [followed]);
  return { making, start: () => start(() => service.startMaking(caseId, revision)) };
}

function toMaking(followed: Followed): Making {
  switch (followed.kind) {
    case "starting":
      return { kind: "running", progress: 0, text: "Starting …" };
    case "known":
      return ofJob(followed.job);
    case "idle":
    case "failed":
      return followed;
  }
}

function ofJob(job: Job): Making {
  switch (job.state) {
    case "running":
      return { kind: "running", progress: job.progress, text: job.text };
    case "done":
      return { kind: "done", text: job.text, revision: job.revision, files: job.files };
    case "cancelled":
    case "failed":
      return { kind: "failed", sentence: job.error ?? job.text };
  }
}
