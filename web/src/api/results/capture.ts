/** The limb as captured. */

import type { Mm } from "../../units/quantities";
import type { LengthUnit, Point, Side } from "../document";
import type { Basis } from "./finding";

export interface Landmark {
  readonly name: string;
  readonly point_mm: Point;
  readonly basis: Basis;
  readonly to_skin_mm: Mm;
}

export interface LevelMeasure {
  readonly level_mm: Mm;
  readonly perimeter_mm: Mm;
  readonly tape_mm: Mm;
  readonly ml_mm: Mm;
  readonly ap_mm: Mm;
  readonly area_mm2: number;
}

export interface PlaceCover {
  readonly cover_mm: Mm;
  readonly sd_mm: Mm;
  readonly basis: Basis;
  readonly usual_mm: Mm;
  readonly usual_sd_mm: Mm;
}

export interface Casting {
  readonly dummy: {
    readonly body_mm: Mm;
    readonly height_mm: Mm;
    readonly ring_outside_mm: Mm;
    readonly ring_inside_mm: Mm;
    readonly ring_height_mm: Mm;
    readonly exit_mm: Mm;
    readonly exit_words: string;
  } | null;
  readonly film: boolean;
  readonly film_girth_mm: Mm;
  readonly wrap: {
    readonly area_cm2: number;
    readonly upper_mm: Mm;
    readonly layers: number;
    readonly layers_from: string;
    readonly rolls: readonly {
      readonly width_mm: Mm;
      readonly needed: number;
      readonly open: number;
    }[];
  };
  readonly water_c: number;
  readonly events: readonly {
    readonly at_min: number;
    readonly until_min: number;
    readonly text: string;
  }[];
  readonly hands: readonly {
    readonly name: string;
    readonly press: boolean;
    readonly level_mm: Mm;
    readonly landmark: string;
  }[];
  readonly marks: readonly {
    readonly name: string;
    readonly level_mm: Mm;
    readonly side_words: string;
  }[];
  readonly filling: {
    readonly volume_ml: number;
    readonly powder_kg: number;
    readonly water_kg: number;
    readonly dummy_in_place: boolean;
    readonly order: readonly string[];
    readonly growth_mm: Mm;
  };
}

export interface Limb {
  readonly side: Side;
  readonly landmarks: Readonly<Record<string, Landmark>>;
  readonly bones: {
    readonly basis: Basis;
    readonly cover_sd_mm: Mm;
    readonly places: Readonly<Record<string, PlaceCover>>;
    readonly patella_pole_mm: Point | null;
    readonly palpated_count: number;
  };
  readonly casting: Casting | null;
  readonly unit: {
    readonly unit: LengthUnit;
    readonly basis: Basis;
    readonly sureness: number;
    readonly text: string;
  };
  readonly repairs: readonly {
    readonly kind: string;
    readonly count: number;
    readonly text: string;
  }[];
  readonly measures: {
    readonly levels: readonly LevelMeasure[];
    readonly volume_below_datum_ml: number;
    readonly length_below_datum_mm: Mm;
  };
}
