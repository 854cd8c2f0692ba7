import { act, renderHook, waitFor } from "@testing-library/react";
import { describe, expect, it } from "vitest";
import { ServiceLost, ServiceRefused } from "../api/errors";
import type { Job } from "../api/replies";
import { FakeService } from "../state/testing";
import { useFollowedJob } from "./use-followed-job";

const job = (id: string, state: Job["state"] = "running"): Job => ({
  job: id,
  kind: "make",
  revision: 1,
  state,
  progress: 0.5,
  text: "",
  files: [],
  error: null,
});

/** A service that remembers `jobs`, and answers what is asked of a job in turn. */
function answering(jobs: readonly Job[] | Error, replies: (Job | Error)[]) {
  const asked: string[] = [];
  const answer = <T>(reply: T | Error): Promise<T> =>
    reply instanceof Error ? Promise.reject(reply) : Promise.resolve(reply);
  const service = Object.assign(new FakeService(), {
    jobs: () => answer(jobs),
    job: (id: string) => {
      asked.push(id);
      return answer(replies.shift() ?? new Error("asked once too often"));
    },
  });
  return { asked, service };
}

const gone = () => new ServiceRefused(404, "There is no such job.", null, []);

describe("a job that is followed", () => {
  it("has failed, and says why, where the service no longer knows the one taken up", async () => {
    const { service } = answering([job("m")], [job("m"), gone()]);
    const { result } = renderHook(() => useFollowedJob(service, "a", "make"));
    await waitFor(() => expect(result.current.followed.kind).toBe("known"));
    await waitFor(() =>
      expect(result.current.followed).toMatchObject({
        kind: "failed",
        sentence: expect.stringContaining("start it once more"),
      }),
    );
  });

  it("leaves it to the banner to tell of a service that is lost", async () => {
    const { service } = answering(new ServiceLost(null), []);
    const { result } = renderHook(() => useFollowedJob(service, "a", "make"));
    await act(async () => undefined);
    expect(result.current.followed).toEqual({ kind: "idle" });
  });

  it("takes up none that was stopped", async () => {
    const { asked, service } = answering([job("m", "cancelled")], []);
    const { result } = renderHook(() => useFollowedJob(service, "a", "make"));
    await act(async () => undefined);
    expect(result.current.followed).toEqual({ kind: "idle" });
    expect(asked).toEqual([]);
  });

  it("is asked for no more once the panel is left, however late it was begun", async () => {
    const { asked, service } = answering([], []);
    const { result, unmount } = renderHook(() => useFollowedJob(service, "a", "make"));
    await act(async () => undefined);
    let begun = (_id: string): void => undefined;
    act(() =>
      result.current.start(
        () =>
          new Promise((resolve) => {
            begun = resolve;
          }),
      ),
    );
    expect(result.current.followed.kind).toBe("starting");
    unmount();
    await act(async () => begun("m"));
    expect(asked).toEqual([]);
  });

  it("shows the one that was begun, not the one that is looked up meanwhile", async () => {
    const { asked, service } = answering([job("old", "done")], [job("new", "done")]);
    const { result } = renderHook(() => useFollowedJob(service, "a", "make"));
    act(() => result.current.start(() => Promise.resolve("new")));
    await waitFor(() => expect(result.current.followed.kind).toBe("known"));
    expect(asked).toEqual(["new"]);
  });
});
