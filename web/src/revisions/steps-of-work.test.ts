import { describe, expect, it } from "vitest";
import type { RevisionEntry } from "../api/replies";
import { stepsOfWork } from "./steps-of-work";

function entry(number: number, second: number, note: string, made = false): RevisionEntry {
  const saved_at = new Date(Date.UTC(2026, 4, 1, 9, 0, second)).toISOString();
  return { number, saved_at, note, made };
}

const numbers = (entries: readonly RevisionEntry[]): number[] => entries.map((one) => one.number);

describe("the steps of work", () => {
  const drag = [
    entry(1, 0, "opened"),
    entry(2, 1, "Load, patellar tendon: depth 2 to 2.5 mm"),
    entry(3, 2, "Load, patellar tendon: depth 2.5 to 3 mm"),
    entry(4, 3, "Load, patellar tendon: depth 3 to 3.5 mm"),
    entry(5, 4, "Relief, fibular head: depth 3 to 4 mm"),
    entry(6, 40, "Relief, fibular head: depth 4 to 5 mm"),
  ];

  it("leave out what a drag passed through", () => {
    expect(numbers(stepsOfWork(drag, new Set()))).toEqual([1, 4, 5, 6]);
  });

  it("keep what was made and what is looked at", () => {
    const made = drag.map((one) => (one.number === 2 ? { ...one, made: true } : one));
    expect(numbers(stepsOfWork(made, new Set([3])))).toEqual([1, 2, 3, 4, 5, 6]);
  });
});
