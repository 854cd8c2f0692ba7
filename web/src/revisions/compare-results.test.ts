import { describe, expect, it } from "vitest";
import type { Check, Finding, Proof } from "../api/results";
import { smallDocument, smallEvaluation } from "../state/testing";
import { checkRows, figureRows, findingChanges, loadCases, pressureRows } from "./compare-results";
import { type Shown, shownRevision } from "./shown";

function proof(cases: Record<string, Record<string, readonly [number, number, number | null]>>) {
  return {
    interface: {
      cases: Object.entries(cases).map(([load_case, areas]) => ({
        load_case,
        areas: Object.entries(areas).map(([area, [mean_kpa, peak_kpa, limit_kpa]]) => ({
          area,
          mean_kpa,
          peak_kpa,
          limit_kpa,
        })),
      })),
    },
  } as unknown as Proof;
}

function finding(code: string, severity: Finding["severity"], where = ""): Finding {
  return { stage: "prove", code, severity, where, text: `${code} ${where}` } as Finding;
}

function check(name: string, margin: number | null, place = "", text = ""): Check {
  return { name, place, margin, required_margin: 1.5, text } as Check;
}

function shown(stages: object): Shown {
  const evaluation = { ...smallEvaluation(1), stages } as ReturnType<typeof smallEvaluation>;
  return shownRevision({ revision: 1, document: smallDocument() }, evaluation);
}

const ready = (results: object) => ({ state: "ready", error: null, findings: [], results });

describe("pressures of two revisions", () => {
  const before = proof({ standing: { popliteal: [20, 30, 100], distal_end: [5, 9, null] } });
  const after = proof({
    swing: { popliteal: [1, 2, 100] },
    standing: { popliteal: [26, 41, 100], fibular_head: [7, 8, 60] },
  });

  it("stand area by area, with what only one of them has", () => {
    const rows = pressureRows(before, after, "standing");
    expect(
      rows.map(({ area, mean, limit }) => [area, mean.before, mean.after, limit.after]),
    ).toEqual([
      ["popliteal", 20, 26, 100],
      ["distal_end", 5, null, null],
      ["fibular_head", null, 7, 60],
    ]);
    expect(rows[0]?.peak).toEqual({ before: 30, after: 41 });
  });

  it("are there of one side when the other could not be computed", () => {
    expect(pressureRows(null, after, "swing")[0]?.mean).toEqual({ before: null, after: 1 });
    expect(loadCases(before, after)).toEqual(["standing", "swing"]);
    expect(loadCases(null, null)).toEqual([]);
  });
});

describe("margins of two revisions", () => {
  it("are paired by what is left of a check where its weakest spot moved", () => {
    const rows = checkRows(
      [check("wall", 3.2, "37 mm below"), check("wall", 1.7, "end")],
      [check("wall", 1.6, "end"), check("wall", 3.1, "13 mm below")],
    );
    expect(rows.map(({ place, margin }) => [place.before, place.after, margin.after])).toEqual([
      ["end", "end", 1.6],
      ["37 mm below", "13 mm below", 3.1],
    ]);
  });

  it("are paired by check and place; what is not established stays so", () => {
    const rows = checkRows(
      [check("wall", 2, "brim"), check("wall", 1.2, "end"), check("pull", null)],
      [check("wall", 2.5, "end"), check("pull", 1.8), check("wall", 2, "brim")],
    );
    expect(
      rows.map(({ name, place, margin }) => [name, place.after, margin.before, margin.after]),
    ).toEqual([
      ["wall", "brim", 2, 2],
      ["wall", "end", 1.2, 2.5],
      ["pull", "", null, 1.8],
    ]);
  });

  it("are paired under one loading condition, and say under which, whatever the load level", () => {
    const under = (level: string, condition: string): string =>
      `Wall under ${level} condition ${condition} at 4025 N.`;
    const rows = checkRows(
      [check("wall", 1.9, "brim", under("P4", "I")), check("wall", 1.2, "brim", under("P4", "II"))],
      [check("wall", 1.3, "brim", under("P5", "II")), check("wall", 2, "brim", under("P5", "I"))],
    );
    expect(rows.map(({ condition, margin }) => [condition.after, margin])).toEqual([
      ["P5 condition I", { before: 1.9, after: 2 }],
      ["P5 condition II", { before: 1.2, after: 1.3 }],
    ]);
    expect(rows[0]?.name).toBe("wall");
    expect(rows[0]?.condition.before).toBe("P4 condition I");
  });

  it("are kept apart when one check comes twice at one place", () => {
    const rows = checkRows([check("wall", 1), check("wall", 2)], [check("wall", 3)]);
    expect(rows.map(({ margin }) => margin)).toEqual([
      { before: 1, after: 3 },
      { before: 2, after: null },
    ]);
  });
});

describe("findings of two revisions", () => {
  it("come, go and change their weight, known by code and place", () => {
    const changes = findingChanges(
      [finding("peak", "warning", "popliteal"), finding("fits", "ok"), finding("cover", "note")],
      [
        finding("peak", "warning", "fibular head"),
        finding("fits", "stop"),
        finding("cover", "note"),
      ],
    );
    expect(changes.came.map(({ where }) => where)).toEqual(["fibular head"]);
    expect(changes.went.map(({ where }) => where)).toEqual(["popliteal"]);
    expect(changes.weighs.map(({ before, after }) => [before.severity, after.severity])).toEqual([
      ["ok", "stop"],
    ]);
  });

  it("are no change when the figures alone are others", () => {
    const one = finding("peak", "warning");
    expect(findingChanges([one], [{ ...one, text: "another figure", value: 3 }])).toEqual({
      came: [],
      went: [],
      weighs: [],
    });
  });
});

describe("figures of two revisions", () => {
  it("tell volumes, the tube, alignment and screw turns, with what only one side has", () => {
    const before = shown({
      shape: ready({ limb_volume_ml: 1500, model_volume_ml: 1400 }),
      couple: ready({ seat: { tilt_deg: 3 }, height: { pylon_mm: 120 } }),
      align: ready({
        settings: { "foot inset": [5, "mm", "given"] },
        adjustment: { turns: [] },
      }),
    });
    const after = shown({
      shape: ready({ limb_volume_ml: 1500, model_volume_ml: 1380 }),
      couple: {
        state: "failed",
        error: { message: "no", where: null },
        findings: [],
        results: null,
      },
      align: ready({
        settings: { "foot inset": [8, "mm", "given"] },
        adjustment: { turns: [{ adapter: "foot", screw: "front", turns: -0.5 }] },
      }),
    });
    const rows = figureRows({ before, after });
    const told = Object.fromEntries(
      rows.map((row) => [row.name, [row.before, row.after, row.unit]]),
    );
    expect(told).toEqual({
      "Limb below the trim line’s lowest point": [1500, 1500, "ml"],
      "Socket below the trim line’s lowest point": [1400, 1380, "ml"],
      "Tilt of the coupling": [3, null, "deg"],
      "Tube to be cut": [120, null, "mm"],
      "foot inset": [5, 8, "mm"],
      "foot adapter, front screw": [null, -0.5, "turns"],
    });
  });
});
