import { expect, test } from "vitest";
import type { MoveOutcome } from "../../api/replies";
import { answerTo } from "./use-what-if";

const known = { kind: "known", outcome: {} as MoveOutcome } as const;

test("an answer stands only for the very move that it was asked of", () => {
  const answer = { key: "[3,13]", outcome: known };
  expect(answerTo("[3,13]", true, answer)).toBe(known);
  expect(answerTo("[3,14]", true, answer)).toEqual({ kind: "running" });
  expect(answerTo("[4,13]", true, answer)).toEqual({ kind: "running" });
});

test("a move whose case is still being evaluated is under way, and no move is none", () => {
  expect(answerTo(null, true, { key: "[3,13]", outcome: known })).toEqual({ kind: "running" });
  expect(answerTo("[3,13]", true, null)).toEqual({ kind: "running" });
  expect(answerTo(null, false, { key: "[3,13]", outcome: known })).toEqual({ kind: "none" });
});
