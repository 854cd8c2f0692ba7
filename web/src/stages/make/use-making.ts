import { useCallback, useEffect, useRef, useState } from "react";
import type { Service } from "../../api/client";
import { sentenceOf } from "../../api/errors";
import { followJob, lastJob } from "../../api/jobs";
import type { Job } from "../../api/replies";

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
  const [making, setMaking] = useState<Making>({ kind: "idle" });
  /** The job that is shown; null once the panel is left. */
  const shown = useRef<string | null>(null);

  const follow = useCallback(
    (id: string): Promise<void> => {
      shown.current = id;
      return followJob(
        service,
        id,
        () => shown.current === id,
        (job) => setMaking(toMaking(job)),
      );
    },
    [service],
  );
  const fail = (error: unknown): void => setMaking({ kind: "failed", sentence: sentenceOf(error) });

  useEffect(() => {
    let here = true;
    lastJob(service, caseId, "make")
      .then((job) => (here && job !== null && shown.current === null ? follow(job.job) : undefined))
      // The banner tells of a service that is lost.
      .catch(() => undefined);
    return () => {
      here = false;
      shown.current = null;
    };
  }, [service, caseId, follow]);

  const start = (): void => {
    setMaking({ kind: "running", progress: 0, text: "Starting …" });
    service.startMaking(caseId, revision).then(follow).catch(fail);
  };
  return { making, start };
}

function toMaking(job: Job): Making {
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
