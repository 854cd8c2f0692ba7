import { describe, expect, it } from "vitest";
import type { CaseDocument } from "../api/document";
import { INITIAL_VIEW, withColouring, withSection } from "../case/view-settings";
import { JOB_ORDER } from "../state/stage-state";
import { METRIC, quantityText, type UnitChoice } from "../units/display";
import type { GuideFacts } from "./facts";
import { STEPS } from "./steps";
import { freshFacts, guidedDocument } from "./testing";

/** A document in which one thing was done, as the page stores it. */
function after(change: (document: Draft) => void): Partial<GuideFacts> {
  const now = guidedDocument() as unknown as Draft;
  change(now);
  return { now: now as unknown as CaseDocument };
}

/** The parts of a document that the tests change. */
interface Draft {
  person: { walking_speed_m_s: number | null };
  capture: {
    landmarks: { points: Record<string, number[]>; guessed: string[] };
    palpated: unknown[];
  };
  shape: { areas: { name: string; depth_mm: number }[] };
  couple: { coupling: { axis: string } };
  align: { wanted_forward_mm: number; wanted_outward_mm: number };
  prove: { process: string; distal_plate_mm: number | null };
  fit: { fittings: { complaints: unknown[] }[] };
}

const ACTS: Readonly<Record<string, readonly Partial<GuideFacts>[]>> = {
  walk: [after((now) => (now.person.walking_speed_m_s = 0.8))],
  landmark: [
    after((now) => now.capture.landmarks.guessed.pop()),
    after((now) => (now.capture.landmarks.points.tibial_tubercle = [4, 5, 7])),
    after((now) => (now.capture.landmarks.points.popliteal_centre = [0, 0, 0])),
  ],
  bone: [after((now) => now.capture.palpated.push({ landmark: "fibular_head", depth_mm: 5 }))],
  section: [{ view: withSection(INITIAL_VIEW) }],
  colour: [{ view: withColouring(INITIAL_VIEW, "shape", "pressure") }],
  deepen: [
    after((now) => now.shape.areas.splice(1, 1, { name: "patellar_tendon", depth_mm: -3 })),
    after((now) => now.shape.areas.push({ name: "fibular_head", depth_mm: 4 })),
  ],
  undo: [{ history: { past: [], future: [guidedDocument()], last: null } }],
  axis: [after((now) => (now.couple.coupling.axis = "distal"))],
  foot: [
    after((now) => (now.align.wanted_outward_mm = 5)),
    after((now) => (now.align.wanted_forward_mm = -2)),
  ],
  load: [{ view: { ...INITIAL_VIEW, loadCase: "late_stance" } }],
  strength: [
    after((now) => (now.prove.distal_plate_mm = 15)),
    after((now) => (now.prove.process = "laminated")),
  ],
  make: [{ files: 5 }],
  fitting: [after((now) => now.fit.fittings.push({ complaints: [] }))],
  complaint: [after((now) => now.fit.fittings.push({ complaints: [{ sign: "pain" }] }))],
};

const inUnits = (choice: UnitChoice, value: number, unit: string, digits?: number): string =>
  quantityText(value, unit, choice, digits);
const METRIC_UNITS = {
  text: (...amount: [number, string, number?]) => inUnits(METRIC, ...amount),
  said: (sentence: string) => sentence,
};

const done = (facts: GuideFacts): string[] =>
  STEPS.filter((step) => step.done(facts)).map((step) => step.id);

describe("the steps of the guide", () => {
  it("go through every stage in the order of the job", () => {
    const stages = STEPS.map((step) => JOB_ORDER.indexOf(step.stage));
    expect(stages).toEqual([...stages].sort((a, b) => a - b));
    expect(new Set(stages).size).toBe(JOB_ORDER.length);
  });

  it("have names of their own that an address can carry", () => {
    expect(new Set(STEPS.map(({ id }) => id)).size).toBe(STEPS.length);
    expect(STEPS.every(({ id }) => /^[a-z]+$/.test(id))).toBe(true);
  });

  it("are all to do when a case begins, in whatever order its document is written", () => {
    expect(done(freshFacts())).toEqual([]);
    const { points, ...rest } = guidedDocument().capture.landmarks;
    const turned = Object.fromEntries(Object.entries(points).reverse());
    const capture = { ...guidedDocument().capture, landmarks: { points: turned, ...rest } };
    expect(done(freshFacts({ now: { ...guidedDocument(), capture } }))).toEqual([]);
  });

  it.each(STEPS.map(({ id }) => id))("“%s” is done by each of its acts and by no other's", (id) => {
    const acts = ACTS[id] ?? [];
    expect(acts.length).toBeGreaterThan(0);
    for (const act of acts) {
      // A complaint needs a fitting that holds it.
      const also = id === "complaint" ? ["fitting"] : [];
      expect(done(freshFacts(act)).sort()).toEqual([id, ...also].sort());
    }
  });

  it("are not done by looking at the pressure at another stage", () => {
    const view = withColouring(INITIAL_VIEW, "capture", "pressure");
    expect(done(freshFacts({ view }))).toEqual([]);
  });

  it("name amounts in the units that are shown", () => {
    const acts = (choice: UnitChoice): string[] =>
      STEPS.map((step) =>
        step.act({ ...METRIC_UNITS, text: (...amount) => inUnits(choice, ...amount) }),
      );
    expect(acts(METRIC).filter((act) => /\d\smm/.test(act))).toHaveLength(3);
    expect(acts({ length: "inch", mass: "lb" }).filter((act) => act.includes("mm"))).toEqual([]);
  });

  it("name in their act what they lead to", () => {
    for (const step of STEPS) {
      const quoted = step.entries.some((entry) =>
        `${step.words} ${step.act(METRIC_UNITS)}`.includes(entry.words.trim()),
      );
      expect(quoted, step.id).toBe(true);
    }
  });
});
