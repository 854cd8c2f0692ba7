import type { Finding } from "../api/results";
import { useUnits } from "../units/units-context";

/** A sentence of the engine, its lengths and masses in the chosen units. */
export function Said({ text }: { text: string }) {
  return useUnits().said(text);
}

/** What a finding says; its own figures agree with those that stand beside it. */
export function FindingText({ finding: { text, value, limit } }: { finding: Finding }) {
  return useUnits().said(text, [value, limit]);
}
