/** The socket as shaped. */

import type { Mm, Percent } from "../../units/quantities";
import type { Point } from "../document";

export interface PlacedArea {
  readonly name: string;
  readonly loads: boolean;
  readonly depth_mm: Mm;
  readonly centre_mm: Point;
  readonly area_cm2: number;
  readonly rests_on_guess: boolean;
  /** Full depth along and around the limb, as used. */
  readonly length_mm: Mm;
  readonly width_mm: Mm;
  /** Over which the depth falls off to nothing, as used. */
  readonly blend_mm: Mm;
}

export interface GirthChange {
  readonly level_mm: Mm;
  readonly limb_mm: Mm;
  /** With the liner on; the limb itself when the liner was scanned along. */
  readonly lined_mm: Mm;
  readonly model_mm: Mm;
  readonly take_up_percent: Percent;
}

export interface SocketShape {
  readonly areas: readonly PlacedArea[];
  readonly limb_volume_ml: number;
  readonly lined_volume_ml: number;
  readonly model_volume_ml: number;
  readonly girths: readonly GirthChange[];
}
