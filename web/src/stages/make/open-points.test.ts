import { describe, expect, it } from "vitest";
import { openWords } from "./open-points";

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
