/** Following a job of the service. */

import type { Service } from "./client";
import { ServiceLost, ServiceRefused } from "./errors";
import type { Job } from "./replies";

const POLL_MS = 400;
const NOT_FOUND = 404;

/** The newest job of a kind that the service remembers of a case, running or ended. */
export async function lastJob(
  service: Service,
  caseId: string,
  kind: Job["kind"],
): Promise<Job | null> {
  const jobs = await service.jobs(caseId);
  return jobs.find((job) => job.kind === kind) ?? null;
}

/** Follow a job to its end, or as long as it is wanted; `tell` hears of every step. */
export async function followJob(
  service: Service,
  id: string,
  isWanted: () => boolean,
  tell: (job: Job) => void,
): Promise<void> {
  while (isWanted()) {
    const now = await askedJob(service, id);
    if (now === "gone") {
      throw new Error(
        "The workshop was started anew meanwhile, and this ended with it; start it once more.",
      );
    }
    if (now !== null && isWanted()) {
      tell(now);
      if (now.state !== "running") {
        return;
      }
    }
    await new Promise((resolve) => setTimeout(resolve, POLL_MS));
  }
}

/**
 * Ask again and again, and tell each answer, until it is stopped: an answer on its way then is of
 * what is over and is told to nobody.
 */
export function keepAsking<Answer>(
  ask: () => Promise<Answer>,
  tell: (answer: Answer) => void,
  everyMs: number,
): () => void {
  let going = true;
  const timer = setInterval(() => {
    void ask().then((answer) => {
      if (going) {
        tell(answer);
      }
    });
  }, everyMs);
  return () => {
    going = false;
    clearInterval(timer);
  };
}

/** The job's state; null when the service did not answer this once. */
async function askedJob(service: Service, id: string): Promise<Job | "gone" | null> {
  try {
    return await service.job(id);
  } catch (error) {
    if (error instanceof ServiceLost) {
      return null;
    }
    if (error instanceof ServiceRefused && error.status === NOT_FOUND) {
      return "gone";
    }
    throw error;
  }
}
