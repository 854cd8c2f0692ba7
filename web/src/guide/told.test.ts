import { describe, expect, it } from "vitest";
import { METRIC, quantityText } from "../units/display";
import { STEPS } from "./steps";
import { factsWith, freshFacts, guidedDocument } from "./testing";
import * as told from "./told";

const units = {
  text: (value: number, unit: string, digits?: number) => quantityText(value, unit, METRIC, digits),
  said: (sentence: string) => sentence,
};

const tendon = { area: "patellar_tendon", mean_kpa: 61, peak_kpa: 93, limit_kpa: null };
const popliteal = { area: "popliteal", mean_kpa: 40, peak_kpa: 70, limit_kpa: 165 };

function proof(peak: number) {
  return {
    interface: {
      label: "first estimate: springs",
      cases: [{ load_case: "standing", areas: [popliteal, { ...tendon, peak_kpa: peak }] }],
    },
    strength: [
      { name: "wall", margin: 0.9, required_margin: 1, capacity_basis: "default" },
      { name: "distal_plate", margin: 1.2, required_margin: 2, capacity_basis: "given" },
      { name: "screws", margin: null, required_margin: 1, capacity_basis: "default" },
    ],
  };
}

describe("what the evaluation says to a step", () => {
  it("is nothing while there is no result", () => {
    const silent = STEPS.filter(({ id }) => id !== "undo");
    expect(silent.map((step) => step.told(freshFacts(), units))).toEqual(silent.map(() => null));
  });

  it("follows the evaluation and names load, limit and model", () => {
    const first = told.highest(factsWith("prove", proof(93)), units);
    expect(first).toMatch(/Patellar tendon in standing: mean 61\skPa, peak 93\skPa/);
    expect(first).toMatch(/no limit established; first estimate/);
    expect(told.highest(factsWith("prove", proof(50)), units)).toMatch(
      /Popliteal .* 70\skPa .*165/,
    );
  });

  it("says when a peak is over its limit", () => {
    const over = { ...popliteal, peak_kpa: 166 };
    const standing = { load_case: "standing", areas: [over] };
    const results = { interface: { label: "first estimate", cases: [standing] }, strength: [] };
    expect(told.highest(factsWith("prove", results), units)).toMatch(/over its limit of 165\skPa/);
  });

  it("is nothing while the result belongs to an earlier state of the case", () => {
    const facts = factsWith("prove", proof(93));
    const { prove } = facts.stages;
    const stale = { ...prove, kind: "stale" } as typeof prove;
    expect(told.highest({ ...facts, stages: { ...facts.stages, prove: stale } }, units)).toBeNull();
  });

  it("tells the pressure of the area that was changed", () => {
    const now = guidedDocument();
    const areas = now.shape.areas.map((one) =>
      one.name === "popliteal" ? { ...one, depth_mm: -4 as typeof one.depth_mm } : one,
    );
    const changed = { ...now, shape: { ...now.shape, areas } };
    expect(told.area(factsWith("prove", proof(93), { now: changed }), units)).toMatch(/^Popliteal/);
  });

  it("holds each margin against what it needs and leaves out what is not established", () => {
    expect(told.margin(factsWith("prove", proof(93)))).toBe(
      "Smallest margin: distal plate, 1.20 of 2.00 needed (capacity: given).",
    );
  });

  it("tells what the axis that is taken costs the coupling and the adapter", () => {
    const axes = [
      { taken: false, tilt_deg: 1, offset_mm: 2, adapter_deg: 3 },
      { taken: true, tilt_deg: 4, offset_mm: 5, adapter_deg: 6 },
    ];
    const said = told.seat(factsWith("couple", { axes }), units);
    expect(said).toMatch(/tilted by 4\.0°? and off by 5\.0\smm; an adapter turns by 6\.0/);
  });

  it("counts guessed landmarks and made files in the right number", () => {
    const landmarks = { a: { basis: "guessed" }, b: { basis: "given" } };
    expect(told.guesses(factsWith("capture", { landmarks }))).toBe(
      "1 of 2 landmarks still guessed.",
    );
    expect(told.files(freshFacts({ files: 1 }))).toMatch(/^1 file made/);
    expect(told.files(freshFacts({ files: 3 }))).toMatch(/^3 files made/);
  });

  it("says in the units that are shown how deep bone lies under the place last felt", () => {
    const places = { fibular_head: { cover_mm: 25.4, sd_mm: 2.54 } };
    const palpated = [{ landmark: "fibular_head" }];
    const now = { ...guidedDocument(), capture: { palpated } } as unknown as ReturnType<
      typeof guidedDocument
    >;
    const inches = {
      said: (sentence: string) => sentence,
      text: (value: number, unit: string) =>
        quantityText(value, unit, { length: "inch", mass: "kg" }),
    };
    const said = told.cover(factsWith("capture", { bones: { places } }, { now }), inches);
    expect(said).toMatch(/Fibular head: 1\.0\d*\sin/);
  });
});
