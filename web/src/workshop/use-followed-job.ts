import { useCallback, useEffect, useRef, useState } from "react";
import type { Service } from "../api/client";
import { ServiceLost, sentenceOf } from "../api/errors";
import { followJob, lastJob } from "../api/jobs";
import type { Job } from "../api/replies";

export type Followed =
  | { readonly kind: "idle" }
  | { readonly kind: "starting" }
  | { readonly kind: "known"; readonly job: Job }
  | { readonly kind: "failed"; readonly sentence: string };

const IDLE: Followed = { kind: "idle" };

/** A job of a kind: started by hand, followed to its end, taken up again on coming back. */
export function useFollowedJob(
  service: Service,
  caseId: string,
  kind: Job["kind"],
): { readonly followed: Followed; readonly start: (begin: () => Promise<string>) => void } {
  const [followed, setFollowed] = useState(IDLE);
  /** Counts what is followed: another one, and leaving, end the following of the one before. */
  const turns = useRef(0);

  const follow = useCallback(
    async (begin: () => Promise<string | null>): Promise<void> => {
      turns.current += 1;
      const turn = turns.current;
      const isShown = (): boolean => turns.current === turn;
      try {
        const id = await begin();
        if (id !== null) {
          await followJob(service, id, isShown, (job) => setFollowed({ kind: "known", job }));
        }
      } catch (error) {
        if (isShown()) {
          setFollowed({ kind: "failed", sentence: sentenceOf(error) });
        }
      }
    },
    [service],
  );

  useEffect(() => {
    void follow(() => lastShown(service, caseId, kind));
    return () => {
      turns.current += 1;
    };
  }, [service, caseId, kind, follow]);

  const start = (begin: () => Promise<string>): void => {
    setFollowed({ kind: "starting" });
    void follow(begin);
  };
  return { followed, start };
}

/** The job to be taken up on coming back; one that was stopped is over and done with. */
async function lastShown(
  service: Service,
  caseId: string,
  kind: Job["kind"],
): Promise<string | null> {
  try {
    const job = await lastJob(service, caseId, kind);
    return job === null || job.state === "cancelled" ? null : job.job;
  } catch (error) {
    if (error instanceof ServiceLost) {
      // The banner tells of it.
      return null;
    }
    throw error;
  }
}
