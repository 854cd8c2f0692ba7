/**
 * Number entry without drift: a field writes back only what a person typed.
 *
 * The field shows a rounded text of the exact stored value. Leaving it untouched stores nothing,
 * so that switching units and back, or tabbing through a form, changes no value.
 */

import { digitsShown, shownUnit, type UnitChoice } from "./display";

export interface EntryFormat {
  /** Unit of storage, for example "mm". */
  readonly unit: string;
  /** Digits after the point in the unit of storage. */
  readonly digits: number;
  readonly choice: UnitChoice;
}

export type Committed =
  | { readonly kind: "unchanged" }
  | { readonly kind: "changed"; readonly stored: number }
  | { readonly kind: "emptied" }
  | { readonly kind: "unreadable"; readonly text: string };

/** The text that a field shows for a stored value; "" for a value left to its default. */
export function entryText(stored: number | null, format: EntryFormat): string {
  if (stored === null) {
    return "";
  }
  const shown = shownUnit(format.unit, format.choice);
  const text = (stored / shown.size).toFixed(
    digitsShown(format.unit, format.digits, format.choice),
  );
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
}

/** What leaving a field with this text means for the stored value. */
export function commitEntry(text: string, stored: number | null, format: EntryFormat): Committed {
  const trimmed = text.trim();
  if (trimmed === entryText(stored, format)) {
    return { kind: "unchanged" };
  }
  if (trimmed === "") {
    return { kind: "emptied" };
  }
  const value = readNumber(trimmed);
  if (value === null) {
    return { kind: "unreadable", text: trimmed };
  }
  return { kind: "changed", stored: toStored(value, format) };
}

/** The stored value after some arrow presses from what the field shows. */
export function nudge(text: string, steps: number, step: number, format: EntryFormat): number {
  const from = readNumber(text) ?? 0;
  const digits = digitsShown(format.unit, format.digits, format.choice);
  // On the shown grid, so that 3.2 goes to 3.5 and not to 3.7 with a step of 0.5.
  const grid = steps > 0 ? Math.floor(from / step + 1e-9) : Math.ceil(from / step - 1e-9);
  return toStored(Number(((grid + steps) * step).toFixed(digits)), format);
}

/** A step of storage in the shown unit: about as large, on a round number. */
export function shownStep(step: number, unit: string, choice: UnitChoice): number {
  const { label, size } = shownUnit(unit, choice);
  const rounded = (digits: number): number => Number((step / size).toFixed(digits));
  switch (label) {
    case "in":
      return Math.max(0.02, rounded(2));
    case "mph":
      return Math.max(0.1, rounded(1));
    default:
      return step;
  }
}

/** A typed number; decimal comma and the typographic minus are read too. */
export function readNumber(text: string): number | null {
  const plain = text.trim().replace(/[−–]/g, "-").replace(",", ".");
  if (!/^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain)) {
    return null;
  }
  const value = Number(plain);
  return Number.isFinite(value) ? value : null;
}

function toStored(shown: number, format: EntryFormat): number {
  const stored = shown * shownUnit(format.unit, format.choice).size;
  // Clears the last binary digits of the product: 0.5 in is 12.7 mm, not 12.700000000000001.
  return Number(stored.toPrecision(12));
}
