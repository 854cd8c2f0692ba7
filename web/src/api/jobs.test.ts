import { describe, expect, it, vi } from "vitest";
import { FakeService } from "../state/testing";
import { ServiceLost, ServiceRefused } from "./errors";
import { followJob, keepAsking, lastJob } from "./jobs";
import type { Job } from "./replies";

const job = (kind: Job["kind"], id: string, state: Job["state"] = "running"): Job => ({
  job: id,
  kind,
  revision: 1,
  state,
  progress: 0,
  text: "",
  files: [],
  error: null,
});

function answering(replies: (Job | Error)[]): FakeService {
  const service = new FakeService();
  return Object.assign(service, {
    jobs: () => Promise.resolve(replies),
    job: () => {
      const reply = replies.shift();
      return reply instanceof Error ? Promise.reject(reply) : Promise.resolve(reply);
    },
  });
}

describe("jobs of a case", () => {
  it("takes up the newest of a kind", async () => {
    const service = answering([job("make", "m2"), job("confirm", "c1"), job("make", "m1")]);
    expect((await lastJob(service, "a", "make"))?.job).toBe("m2");
    expect((await lastJob(service, "a", "confirm"))?.job).toBe("c1");
    expect(await lastJob(service, "a", "capture")).toBeNull();
  });

  it("follows through a service that does not answer once, to the job's end", async () => {
    const lost = new ServiceLost(new Error("refused"));
    const service = answering([job("make", "m"), lost, job("make", "m", "done")]);
    const states: string[] = [];
    await followJob(
      service,
      "m",
      () => true,
      (now) => states.push(now.state),
    );
    expect(states).toEqual(["running", "done"]);
  });

  it("says so when the job ended with the service", async () => {
    const service = answering([new ServiceRefused(404, "There is no such job.", null, [])]);
    const followed = followJob(
      service,
      "m",
      () => true,
      () => undefined,
    );
    await expect(followed).rejects.toThrow("start it once more");
  });

  it("tells nothing that was still on its way when the asking was stopped", async () => {
    vi.useFakeTimers();
    const answers: ((text: string) => void)[] = [];
    const told: string[] = [];
    const stop = keepAsking(
      () =>
        new Promise<string>((resolve) => {
          answers.push(resolve);
        }),
      (text) => told.push(text),
      1000,
    );
    await vi.advanceTimersByTimeAsync(2000);
    answers[0]?.("first");
    await vi.advanceTimersByTimeAsync(0);
    stop();
    answers[1]?.("late");
    await vi.advanceTimersByTimeAsync(5000);
    vi.useRealTimers();
    expect(told).toEqual(["first"]);
    expect(answers).toHaveLength(2);
  });
});
