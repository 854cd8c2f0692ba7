import { beforeEach, expect, test } from "vitest";
import type { AdapterPlan, AlignPlan } from "../../api/document";
import type { AdjustmentStep } from "../../api/results";
import { mm } from "../../units/quantities";
import { quarters } from "./screw-answer";
import { hasWish, NO_WISH, wishOf, wishWords } from "./trial";
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
  const accepted = { steps, outOfReach: "" };
  keepAccepted("a", set(3.6), accepted);
  expect(acceptedFor("a", set(3.6))).toEqual(accepted);
  expect(acceptedFor("a", set(0)).steps).toEqual([]);
  expect(acceptedFor("b", set(3.6)).steps).toEqual([]);
});

test("what was wanted out of reach stays readable with the turns that come nearest", () => {
  const outOfReach = wishWords({ ...NO_WISH, ...wishOf({ forward: 0, outward: 14 }) });
  keepAccepted("a", set(3.6), { steps, outOfReach });
  expect(acceptedFor("a", set(3.6)).outOfReach).toBe("14 mm outward");
  expect(acceptedFor("a", set(0)).outOfReach).toBe("");
});

test("a wish is told in words, and nothing of what is not wanted", () => {
  const wanted = { wanted_forward_mm: mm(-3), wanted_toe_out_deg: 3, wanted_coronal_n_m: null };
  expect(wishWords(wanted as Partial<AlignPlan>)).toBe("3 mm back, 3 ° toes outward");
  expect(wishWords(NO_WISH)).toBe("");
  expect(hasWish(NO_WISH)).toBe(false);
});

test("no moment at all can be wanted too", () => {
  const wanted = { ...NO_WISH, wanted_coronal_n_m: 0 };
  expect(hasWish(wanted)).toBe(true);
  expect(wishWords(wanted)).toBe("a coronal moment of 0 N·m");
});

test("turns are told in quarters, and in hundredths where they are no quarters", () => {
  expect([0.25, 1, 1.5, 0.31].map(quarters)).toEqual(["¼", "1", "1½", "0.31"]);
});
