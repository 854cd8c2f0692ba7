import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { CaseDocument } from "../api/document";
import { ServiceLost, ServiceRefused } from "../api/errors";
import { mm } from "../units/quantities";
import { CaseSession, REST_MS } from "./case-session";
import { areCurrent, isCurrent } from "./case-state";
import { FakeService, smallDocument } from "./testing";

const inset =
  (value: number) =>
  (document: CaseDocument): CaseDocument => ({
    ...document,
    align: { ...document.align, foot_inset_mm: mm(value) },
  });

describe("a session with the service", () => {
  let service: FakeService;
  let session: CaseSession;

  beforeEach(async () => {
    vi.useFakeTimers();
    service = new FakeService();
    session = new CaseSession(service, "a");
    session.open();
    await vi.runAllTimersAsync();
    service.calls.length = 0;
  });

  const editMeetingConflict = async (): Promise<void> => {
    service.failures.set("saveCase", new ServiceRefused(409, "Changed elsewhere.", null, []));
    session.edit("align", inset(5));
    await vi.runAllTimersAsync();
  };

  afterEach(() => {
    session.close();
    vi.useRealTimers();
  });

  it("sends an edit at once, and what is edited until the answer as one", async () => {
    session.edit("align", inset(1));
    expect(service.calls).toEqual(["saveCase on 1, look align"]);
    for (const value of [2, 3, 4]) {
      session.edit("align", inset(value));
    }
    await vi.runAllTimersAsync();
    expect(service.calls).toEqual([
      "saveCase on 1, look align",
      "saveCase on 2, look align",
      "evaluate 3",
    ]);
    expect(service.stored.document.align.foot_inset_mm).toBe(4);
    expect(isCurrent(session.snapshot())).toBe(true);
  });

  it("evaluates the same revision once more when something was made of it", async () => {
    session.renew();
    await vi.runAllTimersAsync();
    expect(service.calls).toEqual(["evaluate 1"]);
    await vi.runAllTimersAsync();
    expect(service.calls).toEqual(["evaluate 1"]);
    expect(isCurrent(session.snapshot())).toBe(true);
  });

  it("lets the last edit win over replies that come late", async () => {
    let release = (): void => undefined;
    const held = new Promise<void>((resolve) => {
      release = resolve;
    });
    service.gates.set("evaluate", held);
    session.edit("align", inset(1));
    await vi.advanceTimersByTimeAsync(1 + REST_MS);
    session.edit("align", inset(2));
    session.edit("align", inset(3));
    expect(isCurrent(session.snapshot())).toBe(false);
    service.gates.delete("evaluate");
    // The reply that is held back is waited for no longer: it would be of an edit that is past.
    await vi.runAllTimersAsync();
    expect(session.snapshot().evaluated?.revision).toBe(3);
    release();
    await vi.runAllTimersAsync();
    expect(service.calls).toEqual([
      "saveCase on 1, look align",
      "evaluate 2",
      "saveCase on 2, look align",
      "evaluate 3",
    ]);
    expect(session.snapshot().document?.align.foot_inset_mm).toBe(3);
    expect(session.snapshot().evaluated?.revision).toBe(3);
    expect(isCurrent(session.snapshot())).toBe(true);
  });

  it("keeps edits while the service is away and sends them when it is back", async () => {
    service.failures.set("saveCase", new ServiceLost(null));
    session.edit("align", inset(5));
    await vi.advanceTimersByTimeAsync(1);
    expect(session.snapshot().connection.kind).toBe("lost");
    expect(session.snapshot().document?.align.foot_inset_mm).toBe(5);
    await vi.runAllTimersAsync();
    expect(session.snapshot().connection.kind).toBe("fine");
    expect(service.stored.document.align.foot_inset_mm).toBe(5);
  });

  it("does not take its own edit for somebody else's when the reply to it was lost", async () => {
    service.lostReplies.add("saveCase");
    session.edit("align", inset(5));
    await vi.advanceTimersByTimeAsync(1);
    expect(session.snapshot().connection.kind).toBe("lost");
    session.edit("align", inset(9));
    await vi.runAllTimersAsync();
    expect(session.snapshot().conflict).toBeNull();
    expect(service.stored.document.align.foot_inset_mm).toBe(9);
    expect(session.snapshot().document?.align.foot_inset_mm).toBe(9);
    expect(isCurrent(session.snapshot())).toBe(true);
    session.step("back");
    await vi.runAllTimersAsync();
    expect(service.stored.document.align.foot_inset_mm).toBeNull();
  });

  it("does not take its own landmark for somebody else's when the reply was lost", async () => {
    service.lostReplies.add("pickLandmark");
    session.placeLandmark("fibular_head", [0, 0, 0]);
    await vi.advanceTimersByTimeAsync(1);
    session.edit("align", inset(9));
    await vi.runAllTimersAsync();
    expect(session.snapshot().conflict).toBeNull();
    const { capture, align } = service.stored.document;
    expect(capture.landmarks.points.fibular_head).toEqual([9, 9, 9]);
    expect(align.foot_inset_mm).toBe(9);
    expect(session.snapshot().document).toEqual(service.stored.document);
  });

  it("asks when somebody else placed the same landmark while the service was away", async () => {
    service.failures.set("pickLandmark", new ServiceLost(null));
    session.placeLandmark("fibular_head", [0, 0, 0]);
    await vi.advanceTimersByTimeAsync(1);
    const document = smallDocument();
    const points = { ...document.capture.landmarks.points, fibular_head: [5, 5, 5] as const };
    const landmarks = { ...document.capture.landmarks, points };
    const theirs = { ...document, capture: { ...document.capture, landmarks } };
    service.stored = { revision: 2, document: theirs };
    await vi.runAllTimersAsync();
    expect(session.snapshot().conflict).toContain("Changed elsewhere");
    expect(service.stored.document).toBe(theirs);
  });

  it("asks when somebody else stored the case while the service was away", async () => {
    service.failures.set("saveCase", new ServiceLost(null));
    session.edit("align", inset(5));
    await vi.advanceTimersByTimeAsync(1);
    service.stored = { revision: 2, document: smallDocument(-2) };
    await vi.runAllTimersAsync();
    expect(session.snapshot().conflict).toContain("Changed elsewhere");
    expect(service.stored.document.align.foot_inset_mm).toBe(-2);
  });

  it("stops at a conflict until a person chooses", async () => {
    await editMeetingConflict();
    expect(session.snapshot().conflict).toBe("Changed elsewhere.");
    expect(service.calls).toEqual(["saveCase on 1, look align"]);

    service.stored = { revision: 8, document: smallDocument(-2) };
    session.overrule();
    await vi.runAllTimersAsync();
    expect(service.calls).toContain("saveCase on 8, look align");
    expect(service.stored.document.align.foot_inset_mm).toBe(5);
    expect(session.snapshot().conflict).toBeNull();
  });

  it("never stores what was edited over another case in the same folder", async () => {
    await editMeetingConflict();
    service.failures.clear();
    service.record = "another";
    service.stored = { revision: 1, document: smallDocument(2) };
    session.overrule();
    await vi.runAllTimersAsync();
    expect(session.snapshot().refusal).toContain("another case");
    expect(service.stored).toEqual({ revision: 1, document: smallDocument(2) });
    session.open();
    await vi.runAllTimersAsync();
    expect(session.snapshot()).toMatchObject({ record: "another", refusal: null });
    expect(session.snapshot().document?.align.foot_inset_mm).toBe(2);
  });

  it("takes what was stored elsewhere when a person comes back to it, and nothing while they edit", async () => {
    service.stored = { revision: 4, document: smallDocument(3) };
    dispatchEvent(new Event("focus"));
    await vi.runAllTimersAsync();
    expect(session.snapshot().stored?.revision).toBe(4);
    expect(session.snapshot().document?.align.foot_inset_mm).toBe(3);
    expect(isCurrent(session.snapshot())).toBe(true);
    service.calls.length = 0;
    dispatchEvent(new Event("focus"));
    await vi.runAllTimersAsync();
    expect(service.calls).toEqual(["openCase"]);
    session.edit("align", inset(6));
    dispatchEvent(new Event("focus"));
    await vi.runAllTimersAsync();
    expect(service.stored.document.align.foot_inset_mm).toBe(6);
  });

  it("stores its document over the other one by itself once a lost service answers", async () => {
    await editMeetingConflict();
    service.stored = { revision: 8, document: smallDocument(-2) };
    service.failures.set("openCase", new ServiceLost(null));
    session.overrule();
    await vi.advanceTimersByTimeAsync(1);
    expect(session.snapshot().connection.kind).toBe("lost");
    expect(service.stored.document.align.foot_inset_mm).toBe(-2);
    await vi.runAllTimersAsync();
    expect(session.snapshot().connection.kind).toBe("fine");
    expect(session.snapshot().conflict).toBeNull();
    expect(service.stored.document.align.foot_inset_mm).toBe(5);
    expect(isCurrent(session.snapshot())).toBe(true);
  });

  it("loads the other one where that was chosen before the service answered", async () => {
    await editMeetingConflict();
    service.stored = { revision: 8, document: smallDocument(-2) };
    service.failures.set("openCase", new ServiceLost(null));
    session.overrule();
    await vi.advanceTimersByTimeAsync(1);
    session.open();
    await vi.runAllTimersAsync();
    expect(service.stored.document.align.foot_inset_mm).toBe(-2);
    expect(session.snapshot().document?.align.foot_inset_mm).toBe(-2);
  });

  it("can give up its own edit at a conflict", async () => {
    await editMeetingConflict();
    service.stored = { revision: 8, document: smallDocument(-2) };
    session.open();
    await vi.runAllTimersAsync();
    expect(session.snapshot().document?.align.foot_inset_mm).toBe(-2);
    expect(service.calls.filter((call) => call.startsWith("saveCase"))).toHaveLength(1);
  });

  it("does not send a refused document again, but does send the next edit", async () => {
    const problem = { path: "align.foot_inset_mm", text: "must be at most 60" };
    service.failures.set("saveCase", new ServiceRefused(422, "One problem.", null, [problem]));
    session.edit("align", inset(99));
    await vi.runAllTimersAsync();
    expect(session.snapshot().problems).toEqual([problem]);
    expect(isCurrent(session.snapshot())).toBe(false);
    session.edit("align", inset(9));
    await vi.runAllTimersAsync();
    expect(service.calls).toEqual([
      "saveCase on 1, look align",
      "saveCase on 1, look align",
      "evaluate 2",
    ]);
    expect(session.snapshot().problems).toEqual([]);
    expect(isCurrent(session.snapshot())).toBe(true);
  });

  it("takes over what another page stored meanwhile when nothing is unsaved here", async () => {
    let release = (): void => undefined;
    const held = new Promise<void>((resolve) => {
      release = resolve;
    });
    service.gates.set("evaluate", held);
    session.edit("align", inset(5));
    await vi.advanceTimersByTimeAsync(1);
    service.stored = { revision: 9, document: smallDocument(11) };
    service.gates.delete("evaluate");
    release();
    await vi.runAllTimersAsync();
    expect(session.snapshot().document?.align.foot_inset_mm).toBe(11);
    expect(session.snapshot().evaluated?.revision).toBe(9);
    expect(isCurrent(session.snapshot())).toBe(true);
  });

  it("takes over what another page stored while the service evaluated", async () => {
    service.givesUp = true;
    session.edit("align", inset(5));
    await vi.runAllTimersAsync();
    expect(session.snapshot().conflict).toBeNull();
    expect(session.snapshot().evaluated?.revision).toBe(2);
    expect(isCurrent(session.snapshot())).toBe(true);
  });

  it("gives up a landmark that the service refuses and stays current otherwise", async () => {
    const refusal = new ServiceRefused(422, "The point is 40 mm off the limb.", null, []);
    service.failures.set("pickLandmark", refusal);
    session.placeLandmark("fibular_head", [0, 0, 0]);
    await vi.runAllTimersAsync();
    expect(session.snapshot().refusal).toBe("The point is 40 mm off the limb.");
    expect(service.calls).toEqual(["pickLandmark fibular_head on 1"]);
    expect(isCurrent(session.snapshot())).toBe(true);
  });

  it("stores pending edits before a landmark is placed on top of them", async () => {
    session.edit("align", inset(6));
    session.placeLandmark("fibular_head", [0, 0, 0]);
    await vi.runAllTimersAsync();
    expect(service.calls).toEqual([
      "saveCase on 1, look align",
      "pickLandmark fibular_head on 2",
      "saveCase on 3, look capture",
      "evaluate 4",
    ]);
    const { align, capture } = service.stored.document;
    expect(align.foot_inset_mm).toBe(6);
    expect(capture.landmarks.points.fibular_head).toEqual([9, 9, 9]);
  });

  it("shows the pressure in view before the rest, and only that as current", async () => {
    const entry = (key: string) => ({ key, dtype: "float32" as const, shape: [3] });
    service.offers = { "pressure.standing": entry("s1"), "leg.positions": entry("l1") };
    session.want(new Set(["pressure.standing"]));
    session.open();
    await vi.runAllTimersAsync();
    let release = (): void => undefined;
    const held = new Promise<void>((resolve) => {
      release = resolve;
    });
    service.gates.set("evaluate", held);
    service.offers = { "pressure.standing": entry("s2") };
    service.calls.length = 0;
    session.edit("shape", (document) => ({ ...document }));
    await vi.advanceTimersByTimeAsync(1 + REST_MS);
    expect(service.calls).toEqual([
      "saveCase on 1, look shape standing",
      "arrays pressure.standing s2",
      "evaluate 2",
    ]);
    const shown = session.snapshot();
    expect(shown.stages.shape.kind).toBe("ready");
    expect(shown.stages.prove.kind).toBe("stale");
    expect(isCurrent(shown)).toBe(false);
    expect(areCurrent(shown, new Set(["pressure.standing", "no.such"]))).toBe(true);
    expect(areCurrent(shown, new Set(["pressure.standing", "leg.positions"]))).toBe(false);
    release();
    await vi.runAllTimersAsync();
    expect(isCurrent(session.snapshot())).toBe(true);
  });

  it("looks by itself where the answer to what was stored brought no look", async () => {
    service.looksAtOnce = false;
    session.edit("align", inset(5));
    await vi.runAllTimersAsync();
    expect(service.calls).toEqual(["saveCase on 1, look align", "lookFirst align", "evaluate 2"]);
    expect(isCurrent(session.snapshot())).toBe(true);
  });

  it("sends an edit at once that comes before the rest is asked for", async () => {
    session.edit("align", inset(1));
    await vi.advanceTimersByTimeAsync(REST_MS / 2);
    expect(session.snapshot().working).toBe(true);
    session.edit("align", inset(2));
    expect(service.calls).toEqual(["saveCase on 1, look align", "saveCase on 2, look align"]);
    await vi.advanceTimersByTimeAsync(REST_MS / 2 + 1);
    expect(service.calls).toHaveLength(2);
    await vi.runAllTimersAsync();
    expect(service.calls.slice(2)).toEqual(["evaluate 3"]);
    expect(isCurrent(session.snapshot())).toBe(true);
    expect(session.snapshot().working).toBe(false);
  });

  it("does not begin the rest while edits follow each other", async () => {
    session.edit("align", inset(1));
    await vi.advanceTimersByTimeAsync(REST_MS / 2);
    session.edit("align", inset(2));
    await vi.runAllTimersAsync();
    expect(service.calls).toEqual([
      "saveCase on 1, look align",
      "saveCase on 2, look align",
      "evaluate 3",
    ]);
  });

  it("opens with the limb alone before all else is computed", async () => {
    let release = (): void => undefined;
    const held = new Promise<void>((resolve) => {
      release = resolve;
    });
    service.gates.set("evaluate", held);
    session.open();
    await vi.advanceTimersByTimeAsync(1);
    expect(service.calls).toEqual(["openCase", "lookFirst assess to capture", "evaluate 1"]);
    expect(session.snapshot().stages.capture.kind).toBe("ready");
    expect(session.snapshot().stages.shape.kind).toBe("running");
    release();
    await vi.runAllTimersAsync();
    expect(isCurrent(session.snapshot())).toBe(true);
  });

  it("fetches an array again only when its key changes", async () => {
    const entry = (key: string) => ({ key, dtype: "float32" as const, shape: [3] });
    service.offers = { displacement: entry("k1"), "limb.positions": entry("p1") };
    session.want(new Set(["displacement", "limb.positions"]));
    session.edit("align", inset(1));
    await vi.runAllTimersAsync();
    service.offers = { displacement: entry("k2"), "limb.positions": entry("p1") };
    session.edit("align", inset(2));
    await vi.runAllTimersAsync();
    const fetched = service.calls.filter((call) => call.startsWith("arrays"));
    expect(fetched).toEqual([
      "arrays displacement k1, limb.positions p1",
      "arrays displacement k2",
    ]);
    expect([...session.arrays().keys()].sort()).toEqual(["displacement", "limb.positions"]);
  });

  it("fetches arrays that are named while an evaluation is under way", async () => {
    service.offers = { displacement: { key: "k1", dtype: "float32", shape: [3] } };
    let release = (): void => undefined;
    const held = new Promise<void>((resolve) => {
      release = resolve;
    });
    service.gates.set("arrays", held);
    service.offers["limb.positions"] = { key: "p1", dtype: "float32", shape: [3] };
    session.want(new Set(["limb.positions"]));
    session.edit("align", inset(1));
    await vi.advanceTimersByTimeAsync(1);
    session.want(new Set(["limb.positions", "displacement"]));
    service.gates.delete("arrays");
    release();
    await vi.runAllTimersAsync();
    expect([...session.arrays().keys()].sort()).toEqual(["displacement", "limb.positions"]);
  });

  it("forgets an array that no longer exists", async () => {
    service.offers = { displacement: { key: "k1", dtype: "float32", shape: [3] } };
    session.want(new Set(["displacement"]));
    session.edit("align", inset(1));
    await vi.runAllTimersAsync();
    service.offers = {};
    session.edit("align", inset(2));
    await vi.runAllTimersAsync();
    expect(session.arrays().size).toBe(0);
  });
});
