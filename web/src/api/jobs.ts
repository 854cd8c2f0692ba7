/** Following a job of the service. */

import type { Service } from "./client";
import { ServiceLost } from "./errors";
import type { Job } from "./replies";

/** The job's state; null when the service did not answer this once. */
export async function askedJob(service: Service, job: string): Promise<Job | null> {
  try {
    return await service.job(job);
  } catch (error) {
    if (error instanceof ServiceLost) {
      return null;
    }
    throw error;
  }
}
