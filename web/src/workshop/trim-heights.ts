/** Heights of the trim line against the landmarks that a hand finds beside it. Pure. */

import type { TrimPlan } from "../api/document";
import type { Limb } from "../api/results";
import type { TrimName } from "../case/view-settings";
import { named } from "../words/words";

/** Which landmarks each side of the trim line is read against. */
const AGAINST = [
  { name: "anterior", side: "Anterior", field: "anterior_mm", landmark: "patella_lower_pole" },
  { name: "medial", side: "Medial", field: "medial_mm", landmark: "medial_epicondyle" },
  { name: "lateral", side: "Lateral", field: "lateral_mm", landmark: "lateral_epicondyle" },
  { name: "lateral", side: "Lateral", field: "lateral_mm", landmark: "fibular_head" },
  { name: "posterior", side: "Posterior", field: "posterior_mm", landmark: "popliteal_centre" },
  {
    name: "posterior",
    side: "Posterior",
    field: "posterior_mm",
    landmark: "medial_hamstring_tendon",
  },
] as const;

export interface TrimHeight {
  readonly name: TrimName;
  readonly side: string;
  readonly landmark: string;
  /** "12 mm above the lateral epicondyle". */
  readonly words: string;
}

/** The trim line counts from the level that the limb frame's origin stands at, as landmarks do. */
export function trimHeights(
  trim: TrimPlan,
  limb: Limb | null,
  text: (mm: number) => string,
): TrimHeight[] {
  return AGAINST.flatMap(({ name, side, field, landmark }) => {
    const at = limb?.landmarks[landmark];
    if (at === undefined) {
      return [];
    }
    const over = trim[field] - at.point_mm[2];
    const guess = at.basis === "guessed" ? ", a guess" : "";
    const words = `${text(Math.abs(over))} ${over >= 0 ? "above" : "below"} the ${named(landmark).toLowerCase()}${guess}`;
    return [{ name, side, landmark, words }];
  });
}
