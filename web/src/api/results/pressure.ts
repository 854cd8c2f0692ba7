/** Interface pressure, and what is read of it. */

import type { Kpa, Mm, Newton } from "../../units/quantities";
import type { Point } from "../document";
import type { Basis } from "./finding";

export interface AreaPressure {
  readonly area: string;
  readonly mean_kpa: Kpa;
  readonly peak_kpa: Kpa;
  readonly force_n: Point;
  readonly limit_kpa: Kpa | null;
  readonly limit_source: string | null;
  readonly share: number | null;
}

export interface CasePressure {
  readonly load_case: string;
  readonly pose: { readonly shift_mm: Point; readonly turn_rad: Point };
  readonly areas: readonly AreaPressure[];
  readonly contact_share: number;
  readonly residual: number;
  readonly iterations: number;
}

/** An area of the socket or an anatomical place; bands only of a thorough evaluation. */
export interface PlaceReading {
  readonly place: string;
  readonly kind: "load area" | "relief area" | "wall" | "distal end" | "place";
  readonly surface_cm2: number;
  readonly covered_share: number;
  readonly limit_kpa: Kpa | null;
  readonly limit_source: string | null;
  readonly basis: Basis;
  readonly cases: readonly {
    readonly load_case: string;
    readonly mean_kpa: Kpa;
    readonly peak_kpa: Kpa;
    readonly share: number | null;
    readonly mean_band_kpa: readonly [Kpa, Kpa] | null;
    readonly peak_band_kpa: readonly [Kpa, Kpa] | null;
  }[];
}

/** Who carries a load case, along the limb; the whole load leans against it. */
export interface Carried {
  readonly load_case: string;
  readonly total_n: number;
  readonly load_n: number;
  readonly parts: readonly {
    readonly part: string;
    readonly force_n: number;
    readonly percent: number;
  }[];
}

/** Where contact is missing or crowded in one load case. */
export interface ContactReading {
  readonly load_case: string;
  readonly end_contact_share: number;
  readonly end_gap_mm: readonly [Mm, Mm] | null;
  readonly brim_ratio: number | null;
  readonly brim_peak_kpa: Kpa;
}

/** What one uncertainty does to pressure. */
export interface Influence {
  readonly name: string;
  readonly tried: string;
  readonly typical_percent: readonly [number, number];
  readonly worst_area: string;
  readonly worst_case: string;
  readonly worst_percent: number;
  readonly basis: Basis;
  readonly source: string;
}

/** The standing load with a limb that has changed. */
export interface WhatIf {
  readonly name: string;
  readonly held: boolean;
  readonly sinks_mm: Mm | null;
  readonly mean_kpa: Kpa | null;
  readonly peak_kpa: Kpa | null;
  readonly distal_end_n: Newton | null;
  readonly source: string;
  readonly text: string;
}

/** Two results side by side: two engines, or two revisions. */
export interface Comparison {
  readonly first: string;
  readonly second: string;
  readonly pairs: readonly {
    readonly area: string;
    readonly load_case: string;
    readonly mean_kpa: readonly [Kpa, Kpa];
    readonly peak_kpa: readonly [Kpa, Kpa];
    readonly mean_change_percent: number | null;
  }[];
  readonly rank_correlation: Readonly<Record<string, number>>;
  readonly median_percent: number | null;
  readonly text: string;
}
