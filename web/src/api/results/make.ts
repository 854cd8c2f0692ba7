/** What was made. */

import type { Mm } from "../../units/quantities";
import type { Side } from "../document";

export interface Part {
  readonly name: string;
  readonly side: Side;
  readonly volume_ml: number;
}

export interface Made {
  readonly shell: Part;
  readonly positive: Part;
  readonly wall_median_mm: Mm;
  readonly wall_p02_mm: Mm;
  readonly wall_p98_mm: Mm;
  readonly material_volume_ml: number;
}
