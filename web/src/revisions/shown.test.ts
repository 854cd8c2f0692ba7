import { describe, expect, it } from "vitest";
import type { ArrayEntry, Confirmation } from "../api/replies";
import type { Finding } from "../api/results";
import { FakeService, smallDocument, smallEvaluation } from "../state/testing";
import { bandsTo } from "../viewer/ramps";
import type { Painting } from "../workshop/painting";
import { onOneScale } from "./shared-scale";
import {
  loadPair,
  refusalOf,
  resultsOf,
  type Shown,
  sameSurface,
  shownConfirmation,
  shownRevision,
} from "./shown";

function entry(key: string): ArrayEntry {
  return { key, dtype: "float32", shape: [1] };
}

function shown(arrays: Record<string, ArrayEntry>, revision = 1): Shown {
  const stored = { revision, document: smallDocument() };
  return shownRevision(stored, smallEvaluation(revision, arrays));
}

function finding(stage: string, code: string): Finding {
  return { stage, code, severity: "note", where: "", text: code } as Finding;
}

describe("two sides of a comparison", () => {
  const limb = { "limb.positions": entry("p"), "limb.faces": entry("f") };

  it("share their places only when the surface is the same, corner by corner", () => {
    const before = shown(limb);
    expect(sameSurface({ before, after: shown(limb) })).toBe(true);
    const moved = shown({ ...limb, "limb.positions": entry("other") });
    expect(sameSurface({ before, after: moved })).toBe(false);
    expect(sameSurface({ before: shown({}), after: shown({}) })).toBe(false);
  });

  it("take each revision whole, and one of them only once when it is held against itself", async () => {
    const service = new FakeService();
    const asked: number[] = [];
    const answering = Object.assign(service, {
      readRevision: async (_id: string, revision: number) => ({
        revision,
        document: smallDocument(revision),
      }),
      revisionEvaluation: async (_id: string, revision: number) => {
        asked.push(revision);
        return smallEvaluation(revision);
      },
    });
    const pair = await loadPair(answering, "demo", { before: 3, after: 5 });
    expect([pair.before.revision, pair.after.revision]).toEqual([3, 5]);
    expect(pair.after.document.align.foot_inset_mm).toBe(5);
    const same = await loadPair(answering, "demo", { before: 5, after: 5 });
    expect(same.before).toBe(same.after);
    expect(asked).toEqual([3, 5, 5]);
  });

  it("say what to do when nothing was confirmed", async () => {
    const service = Object.assign(new FakeService(), { confirmation: async () => null });
    await expect(loadPair(service, "demo", "confirmed")).rejects.toThrow(/start it in Prove/);
  });

  it("have the confirmed pressures and findings in place of the quick model's", () => {
    const quick = {
      ...shown({ ...limb, "pressure.standing": entry("quick") }, 4),
      findings: [finding("shape", "depth"), finding("prove", "quick")],
    };
    const prove = { state: "ready", error: null, findings: [finding("prove", "fe")], results: {} };
    const found = {
      revision: 4,
      finite_elements: true,
      prove,
      arrays: { "confirmed.standing": entry("fe") },
    } as unknown as Confirmation;
    const confirmed = shownConfirmation(quick, found);
    expect(confirmed.arrays).toEqual({ ...limb, "pressure.standing": entry("fe") });
    expect(confirmed.findings.map(({ code }) => code)).toEqual(["depth", "fe"]);
    expect(resultsOf(confirmed, "prove")).toBe(prove.results);
    expect(sameSurface({ before: quick, after: confirmed })).toBe(true);
  });

  it("say why a stage has no results", () => {
    const failed = { state: "failed", error: { message: "No scan.", where: null }, results: null };
    const without = { ...shown({}), stages: { capture: failed } } as unknown as Shown;
    expect(refusalOf(without, "capture")).toBe("No scan.");
    expect(resultsOf(without, "capture")).toBeNull();
    expect(refusalOf(shown({}), "capture")).toBeNull();
  });
});

describe("one scale for two pictures", () => {
  const painting = (high: number): Painting => ({
    paint: { values: new Float32Array([1]), ramp: bandsTo(high) },
    title: "Pressure",
    unit: "kPa",
  });

  it("is the wider of the two, for both, whichever it is", () => {
    for (const [first, second] of [
      [90, 240],
      [240, 90],
    ] as const) {
      const [before, after] = onOneScale(painting(first), painting(second));
      expect(before?.paint.ramp).toBe(after?.paint.ramp);
      expect(before?.paint.ramp.high).toBe(bandsTo(240).high);
    }
  });

  it("keeps each side's own values, and lets a side without any stay plain", () => {
    const [one, other] = [painting(90), painting(240)];
    const [before] = onOneScale(one, other);
    expect(before?.paint.values).toBe(one.paint.values);
    expect(onOneScale(null, other)).toEqual([null, other]);
  });
});
