import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { CaseDocument } from "../api/document";
import { ServiceLost, ServiceRefused } from "../api/errors";
import { mm } from "../units/quantities";
import { CaseSession } from "./case-session";
import { isCurrent } from "./case-state";
import { FakeService, smallDocument } from "./testing";
import { keepUnsaved, unsavedOf } from "./unsaved";

const inset =
  (value: number) =>
  (document: CaseDocument): CaseDocument => ({
    ...document,
    align: { ...document.align, foot_inset_mm: mm(value) },
  });
const LOST = new ServiceLost(new Error("refused"));

async function openedSession(service: FakeService): Promise<CaseSession> {
  const session = new CaseSession(service, "a");
  session.open();
  await vi.runAllTimersAsync();
  return session;
}

/** A session under fake timers whose case was edited and stored. */
async function editedSession(change: (document: CaseDocument) => CaseDocument) {
  vi.useFakeTimers();
  const service = new FakeService();
  const session = await openedSession(service);
  session.edit("align", change);
  await vi.runAllTimersAsync();
  return { service, session };
}

describe("what is not stored yet", () => {
  let service: FakeService;
  let session: CaseSession;

  const reload = async (): Promise<void> => {
    session.close();
    session = new CaseSession(service, "a");
    session.open();
    await vi.advanceTimersByTimeAsync(1);
  };

  beforeEach(async () => {
    vi.useFakeTimers();
    sessionStorage.clear();
    service = new FakeService();
    session = new CaseSession(service, "a");
    session.open();
    await vi.runAllTimersAsync();
    service.calls.length = 0;
  });

  afterEach(() => {
    session.close();
    vi.useRealTimers();
  });

  it("is kept in the tab from the edit on until it is stored, and no longer", async () => {
    session.edit("align", inset(7));
    expect(unsavedOf("a")).toMatchObject({ base: 1, document: { align: { foot_inset_mm: 7 } } });
    await vi.runAllTimersAsync();
    expect(unsavedOf("a")).toBeNull();
    expect(sessionStorage.length).toBe(0);
  });

  it("is offered after a reload and stored when it is taken up", async () => {
    service.failures.set("saveCase", LOST);
    session.edit("align", inset(7));
    await vi.advanceTimersByTimeAsync(1);
    await reload();
    // Offered, not applied: the case as stored is what is shown.
    expect(session.snapshot().unsaved?.document.align.foot_inset_mm).toBe(7);
    expect(session.snapshot().document?.align.foot_inset_mm).toBeNull();
    expect(service.stored.revision).toBe(1);
    session.takeUpUnsaved();
    await vi.runAllTimersAsync();
    expect(service.stored.document.align.foot_inset_mm).toBe(7);
    expect(session.snapshot().unsaved).toBeNull();
    expect(isCurrent(session.snapshot())).toBe(true);
    expect(unsavedOf("a")).toBeNull();
    session.step("back");
    await vi.runAllTimersAsync();
    expect(service.stored.document.align.foot_inset_mm).toBeNull();
  });

  it("stays in the tab while it is offered, whatever else is edited, until it is given up", async () => {
    keepUnsaved("a", { base: 1, document: smallDocument(5), picks: [] });
    await reload();
    session.edit("align", inset(9));
    await vi.runAllTimersAsync();
    expect(unsavedOf("a")?.document.align.foot_inset_mm).toBe(5);
    session.giveUpUnsaved();
    expect(unsavedOf("a")).toBeNull();
    expect(session.snapshot().unsaved).toBeNull();
    expect(service.stored.document.align.foot_inset_mm).toBe(9);
  });

  it("tells the revision that it was made from, so that a newer one is never overwritten unasked", async () => {
    service.failures.set("saveCase", LOST);
    session.edit("align", inset(7));
    await vi.advanceTimersByTimeAsync(1);
    service.stored = { revision: 4, document: smallDocument(2) };
    await reload();
    expect(session.snapshot().unsaved?.base).toBe(1);
    expect(session.snapshot().stored?.revision).toBe(4);
    await vi.runAllTimersAsync();
    expect(service.stored).toEqual({ revision: 4, document: smallDocument(2) });
  });

  it("is not offered to another case that came to lie in the same folder", async () => {
    service.failures.set("saveCase", LOST);
    session.edit("align", inset(7));
    await vi.advanceTimersByTimeAsync(1);
    service.record = "another";
    service.stored = { revision: 1, document: smallDocument(2) };
    await reload();
    await vi.runAllTimersAsync();
    expect(session.snapshot().unsaved).toBeNull();
    expect(session.snapshot().history.past).toEqual([]);
    expect(service.stored).toEqual({ revision: 1, document: smallDocument(2) });
  });

  it("is not offered when the service had stored it after all", async () => {
    keepUnsaved("a", { base: 1, document: smallDocument(5), picks: [] });
    service.stored = { revision: 2, document: smallDocument(5) };
    await reload();
    expect(session.snapshot().unsaved).toBeNull();
    expect(unsavedOf("a")).toBeNull();
  });

  it("keeps a landmark that was placed and not put on the skin yet", async () => {
    service.failures.set("pickLandmark", LOST);
    session.placeLandmark("fibular_head", [4, 5, 6]);
    await vi.advanceTimersByTimeAsync(1);
    expect(unsavedOf("a")?.picks).toEqual([{ name: "fibular_head", at: [4, 5, 6] }]);
    await reload();
    session.takeUpUnsaved();
    await vi.runAllTimersAsync();
    expect(service.stored.document.capture.landmarks.points.fibular_head).toEqual([9, 9, 9]);
    expect(unsavedOf("a")).toBeNull();
  });

  it("is forgotten when a person loads the stored case instead", async () => {
    service.failures.set("saveCase", new ServiceRefused(409, "Changed elsewhere.", null, []));
    session.edit("align", inset(7));
    await vi.runAllTimersAsync();
    expect(unsavedOf("a")).not.toBeNull();
    session.open();
    await vi.runAllTimersAsync();
    expect(unsavedOf("a")).toBeNull();
  });

  it("is nothing that cannot be understood", () => {
    for (const text of ["{", "null", "7", '{"base":1}', '{"base":"1","document":{},"picks":[]}']) {
      sessionStorage.setItem("limbwright.unsaved.a", text);
      expect(unsavedOf("a")).toBeNull();
    }
  });
});

describe("a service that is lost and comes back", () => {
  it("is told as lost until it answers, through every attempt", async () => {
    vi.useFakeTimers();
    const service = new FakeService();
    const session = new CaseSession(service, "a");
    session.open();
    await vi.runAllTimersAsync();
    const kinds: string[] = [];
    session.subscribe(() => kinds.push(session.snapshot().connection.kind));
    service.failures.set("saveCase", LOST);
    session.edit("align", inset(3));
    await vi.advanceTimersByTimeAsync(1);
    service.failures.set("saveCase", LOST);
    await vi.runAllTimersAsync();
    const first = kinds.indexOf("lost");
    const back = kinds.indexOf("fine", first);
    expect(first).toBeGreaterThan(0);
    expect(kinds.slice(first, back)).not.toContain("fine");
    expect(kinds.slice(back)).not.toContain("lost");
    expect(service.calls.filter((call) => call.startsWith("saveCase on 1"))).toHaveLength(3);
    expect(service.stored.document.align.foot_inset_mm).toBe(3);
    session.close();
    vi.useRealTimers();
  });

  it("takes steps back that were made before the page was left", async () => {
    const { service, session: before } = await editedSession(inset(7));
    dispatchEvent(new Event("pagehide"));
    const after = await openedSession(service);
    after.step("back");
    await vi.runAllTimersAsync();
    expect(service.stored.document.align.foot_inset_mm).toBeNull();
    after.step("forward");
    await vi.runAllTimersAsync();
    expect(service.stored.document.align.foot_inset_mm).toBe(7);
    before.close();
    after.close();
    vi.useRealTimers();
  });

  it("forgets the steps once somebody else has stored the case", async () => {
    const { service, session: before } = await editedSession(inset(7));
    before.close();
    service.stored = { revision: 9, document: smallDocument(-2) };
    const after = await openedSession(service);
    expect(after.snapshot().history.past).toEqual([]);
    after.close();
    vi.useRealTimers();
  });

  it("evaluates again when arrays are no longer offered", async () => {
    vi.useFakeTimers();
    const service = new FakeService();
    service.offers = { displacement: { key: "k1", dtype: "float32", shape: [3] } };
    const session = new CaseSession(service, "a");
    session.open();
    await vi.runAllTimersAsync();
    service.calls.length = 0;
    service.failures.set("arrays", new ServiceRefused(404, "No longer offered.", null, []));
    session.want(new Set(["displacement"]));
    await vi.runAllTimersAsync();
    expect(service.calls).toEqual([
      "arrays displacement k1",
      "evaluate 1",
      "arrays displacement k1",
    ]);
    expect([...session.arrays().keys()]).toEqual(["displacement"]);
    expect(session.snapshot().refusal).toBeNull();
    session.close();
    vi.useRealTimers();
  });
});
