import { describe, expect, it } from "vitest";
import type { Finding } from "../../api/results";
import { leading, openWords } from "./open-points";

const open = (unknown: number, warnings: number) => [
  ...Array.from({ length: unknown }, () => ({ severity: "not established" as const })),
  ...Array.from({ length: warnings }, () => ({ severity: "warning" as const })),
];

describe("what is open before making", () => {
  it.each([
    [1, 1, "1 point is not established and 1 warning is open"],
    [2, 3, "2 points are not established and 3 warnings are open"],
    [0, 2, "2 warnings are open"],
    [1, 0, "1 point is not established"],
  ])("is counted in the right number: %i and %i", (unknown, warnings, words) => {
    expect(openWords(open(unknown, warnings))).toBe(words);
  });
});

const finding = (part: Partial<Finding>): Finding => ({
  stage: "prove",
  code: "made-up",
  severity: "warning",
  text: "",
  where: "",
  value: null,
  limit: null,
  unit: "",
  basis: "estimated",
  source: null,
  accepted: "",
  remedy: "",
  entry: "",
  at_least: false,
  margin: 1,
  usual: false,
  ...part,
});

describe("what leads at the button", () => {
  const asked = finding({ code: "magnet-not-asked", severity: "not established" });
  const presses = finding({ code: "distal-end", value: 30, limit: 6.4 });
  const plate = finding({ code: "strength-distal-plate", value: 57, limit: 11.4 });
  const reaches = finding({ code: "strength-compared", value: 0.2, limit: 1, at_least: true });
  const slips = finding({ code: "suspension-walking", value: 150, limit: 200, margin: 2 });
  const holds = finding({ code: "strength-wall", value: 8, limit: 11.4 });

  it("is what breaks or lets go below its demand, before what is not established", () => {
    expect(leading([asked, presses, plate, holds, reaches, slips])).toEqual([
      plate,
      reaches,
      slips,
      asked,
      presses,
      holds,
    ]);
  });
});
