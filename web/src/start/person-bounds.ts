/** What the case takes for a body, and which unit was meant where an entry lies outside. Pure. */

import { KG_PER_LB, MM_PER_INCH, shownUnit, type UnitChoice } from "../units/display";

/** Of the case document, in its own units: guards against a slip, no clinical limits. */
export const BODY_BOUNDS = {
  mass_kg: { unit: "kg", bounds: [20, 250], units: { kg: 1, lb: KG_PER_LB } },
  stature_mm: {
    unit: "mm",
    bounds: [1000, 2300],
    units: { cm: 10, mm: 1, m: 1000, in: MM_PER_INCH },
  },
} as const;

export type BodyEntry = keyof typeof BODY_BOUNDS;

/** Why a typed value cannot be a person's, null when it can. */
export function bodyRefusal(
  entry: BodyEntry,
  stored: number,
  text: (value: number, unit: string) => string,
): string | null {
  const { unit, bounds } = BODY_BOUNDS[entry];
  const [low, high] = bounds;
  return stored >= low && stored <= high
    ? null
    : `${text(stored, unit)} cannot be used: from ${text(low, unit)} to ${text(high, unit)}.`;
}

/** The same figure in a unit in which it can be a person's; null when there is none. */
export function bodyMeant(
  entry: BodyEntry,
  stored: number,
  choice: UnitChoice,
): { readonly words: string; readonly stored: number } | null {
  const { unit, bounds, units } = BODY_BOUNDS[entry];
  const shown = shownUnit(unit, choice);
  const typed = Number((stored / shown.size).toPrecision(10));
  for (const [name, size] of Object.entries(units)) {
    const meant = Number((typed * size).toPrecision(10));
    if (name !== shown.label && meant >= bounds[0] && meant <= bounds[1]) {
      return { words: `${typed.toString()}\u00a0${name}?`, stored: meant };
    }
  }
  return null;
}
