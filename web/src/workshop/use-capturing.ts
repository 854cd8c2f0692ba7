import { useEffect, useState } from "react";
import type { Service } from "../api/client";
import { keepAsking, lastJob } from "../api/jobs";
import type { Job } from "../api/replies";

const ASK_MS = 1000;

/** The capturing that an evaluation waits for; null when none goes on. */
export function useCapturing(service: Service, caseId: string, waiting: boolean): Job | null {
  const [job, setJob] = useState<Job | null>(null);
  useEffect(() => {
    if (!waiting) {
      return;
    }
    // Asked only when it takes a while: an edit is answered long before.
    const stop = keepAsking(
      () => lastJob(service, caseId, "capture").catch(() => null),
      (last) => setJob(last?.state === "running" ? last : null),
      ASK_MS,
    );
    return () => {
      stop();
      setJob(null);
    };
  }, [service, caseId, waiting]);
  return job;
}
