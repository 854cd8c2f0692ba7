import { beforeEach, expect, test } from "vitest";
import type { AdapterPlan } from "../../api/document";
import type { AdjustmentStep } from "../../api/results";
import { quarters } from "./screw-answer";
import { acceptedFor, keepAccepted } from "./turned";

const set = (adduction_deg: number): AdapterPlan[] =>
  [{ place: "socket", kind: "pyramid", adduction_deg }] as AdapterPlan[];
const steps = [{ number: 1, adapter: "socket", screw: "lateral" }] as AdjustmentStep[];

beforeEach(() => {
  const kept = new Map<string, string>();
  Object.defineProperty(globalThis, "sessionStorage", {
    configurable: true,
    value: {
      getItem: (key: string) => kept.get(key) ?? null,
      setItem: (key: string, value: string) => kept.set(key, value),
      removeItem: (key: string) => kept.delete(key),
    },
  });
});

test("accepted turns stay readable while the adapters stand where they brought them", () => {
  keepAccepted("a", set(3.6), steps);
  expect(acceptedFor("a", set(3.6))).toEqual(steps);
  expect(acceptedFor("a", set(0))).toEqual([]);
  expect(acceptedFor("b", set(3.6))).toEqual([]);
});

test("turns are told in quarters, and in hundredths where they are no quarters", () => {
  expect([0.25, 1, 1.5, 0.31].map(quarters)).toEqual(["¼", "1", "1½", "0.31"]);
});
