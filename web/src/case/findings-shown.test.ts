import { describe, expect, it } from "vitest";
import type { Finding, Severity } from "../api/results";
import { ALL, byStage, countOf, kindOf, shownOf, toggled } from "./findings-shown";

const finding = (stage: string, code: string, severity: Severity, accepted = ""): Finding => ({
  stage,
  code,
  severity,
  text: code,
  where: "",
  value: null,
  limit: null,
  unit: "",
  basis: "measured",
  source: null,
  accepted,
  remedy: "",
  entry: "",
  at_least: false,
  margin: 1,
  usual: false,
});

const FOUND = [
  finding("prove", "plate", "warning"),
  finding("capture", "bones", "warning"),
  finding("prove", "hole", "warning"),
  finding("capture", "guesses", "warning", "looked at"),
  finding("assess", "speed", "note"),
  finding("prove", "pylon", "ok"),
];

describe("the findings shown", () => {
  it("stand by stage, the stage of the worst first, each in the order in which they came", () => {
    const told = byStage(FOUND).map(({ stage, findings }) => [stage, findings.map((f) => f.code)]);
    expect(told).toEqual([
      ["prove", ["plate", "hole", "pylon"]],
      ["capture", ["bones", "guesses"]],
      ["assess", ["speed"]],
    ]);
  });

  it("count what was accepted apart from what is open", () => {
    expect(countOf(FOUND, "warning")).toBe(3);
    expect(countOf(FOUND, "accepted")).toBe(1);
    expect(kindOf(finding("fit", "done", "ok", ""))).toBe("ok");
  });

  it("are all of them until a kind or a stage is chosen", () => {
    expect(shownOf(FOUND, ALL)).toEqual(FOUND);
    const notes = toggled(ALL, "note");
    expect(shownOf(FOUND, notes).map(({ code }) => code)).toEqual(["speed"]);
    const both = toggled(notes, "accepted");
    expect(shownOf(FOUND, both).map(({ code }) => code)).toEqual(["guesses", "speed"]);
    expect(shownOf(FOUND, { ...both, stage: "assess" }).map(({ code }) => code)).toEqual(["speed"]);
    expect(toggled(toggled(ALL, "note"), "note").kinds.size).toBe(0);
  });
});
