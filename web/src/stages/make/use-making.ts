import { useEffect, useRef, useState } from "react";
import type { Service } from "../../api/client";
import { sentenceOf } from "../../api/errors";
import { askedJob } from "../../api/jobs";
import type { Job } from "../../api/replies";

const POLL_MS = 400;

export type Making =
  | { readonly kind: "idle" }
  | { readonly kind: "running"; readonly progress: number; readonly text: string }
  | { readonly kind: "done"; readonly text: string; readonly files: Job["files"] }
  | { readonly kind: "failed"; readonly sentence: string };

/** A making job: started by hand, followed to its end. */
export function useMaking(service: Service, caseId: string): { making: Making; start: () => void } {
  const [making, setMaking] = useState<Making>({ kind: "idle" });
  const alive = useRef(true);
  useEffect(() => {
    alive.current = true;
    return () => {
      alive.current = false;
    };
  }, []);

  const follow = async (): Promise<void> => {
    const job = await service.startMaking(caseId);
    while (alive.current) {
      const now = await askedJob(service, job);
      if (now !== null) {
        setMaking(toMaking(now));
        if (now.state !== "running") {
          return;
        }
      }
      await new Promise((resolve) => setTimeout(resolve, POLL_MS));
    }
  };

  const start = (): void => {
    setMaking({ kind: "running", progress: 0, text: "Starting …" });
    follow().catch((error: unknown) => setMaking({ kind: "failed", sentence: sentenceOf(error) }));
  };
  return { making, start };
}

function toMaking(job: Job): Making {
  switch (job.state) {
    case "running":
      return { kind: "running", progress: job.progress, text: job.text };
    case "done":
      return { kind: "done", text: job.text, files: job.files };
    case "cancelled":
    case "failed":
      return { kind: "failed", sentence: job.error ?? job.text };
  }
}
