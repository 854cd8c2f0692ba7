import type { Casting } from "../../api/results";
import type { Mm } from "../../units/quantities";

/** Rolls of one width or of another, the chosen one first; digits show why one more is opened. */
export function rollWords(rolls: Casting["wrap"]["rolls"], width: (value: Mm) => string): string {
  return rolls
    .map(
      (one) => `${one.open.toString()} of ${width(one.width_mm)} (takes ${one.needed.toFixed(2)})`,
    )
    .join(", or ");
}
