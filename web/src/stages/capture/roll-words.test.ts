import { expect, it } from "vitest";
import { mm } from "../../units/quantities";
import { rollWords } from "./roll-words";

it("offers rolls of one width or of another, and shows why a second one is opened", () => {
  const rolls = [
    { width_mm: mm(100), needed: 1.0213, open: 2 },
    { width_mm: mm(50), needed: 2.0427, open: 3 },
  ];
  expect(rollWords(rolls, (width) => `${width.toString()} mm`)).toBe(
    "2 of 100 mm (takes 1.02), or 3 of 50 mm (takes 2.04)",
  );
});
