/** Proof of strength, pressure and suspension. */

import type { Degrees, MetrePerSecond, Mm, Newton } from "../../units/quantities";
import type { Point } from "../document";
import type { Basis } from "./finding";
import type {
  Carried,
  CasePressure,
  Comparison,
  ContactReading,
  Influence,
  PlaceReading,
  WhatIf,
} from "./pressure";

export interface Check {
  readonly name: string;
  readonly place: string;
  readonly demand: number | null;
  readonly capacity: number | null;
  readonly unit: string;
  readonly margin: number | null;
  readonly required_margin: number;
  readonly capacity_basis: Basis;
  readonly capacity_source: string | null;
  readonly text: string;
  /** Where on the leg, in the limb's frame. */
  readonly point_mm: Point | null;
  /** Below the mid-patellar tendon. */
  readonly level_mm: Mm | null;
  readonly angle_deg: Degrees | null;
}

/** Pull on the suspension through swing, and what holds it. */
export interface SuspensionDetail {
  readonly mass_kg: number;
  readonly mass_basis: Basis;
  /** Below the knee's axis. */
  readonly centre_of_mass_mm: Mm;
  readonly speed_m_s: MetrePerSecond;
  readonly swing: {
    readonly swing_percent: readonly number[];
    readonly pull_n: readonly Newton[];
    readonly lean_deg: readonly Degrees[];
    readonly bound_n: Newton;
    readonly peak_n: Newton;
    readonly peak_percent: number;
  };
  readonly hold_n: Newton | null;
  readonly pistoning_mm: Mm | null;
  readonly pistoning_rank: number;
}

/** What the leg carries at each level under one loading condition, from the brim down. */
export interface SectionForces {
  readonly condition: string;
  readonly level: string;
  readonly force_n: Newton;
  readonly part: readonly ("socket" | "pylon")[];
  readonly level_mm: readonly Mm[];
  readonly height_mm: readonly Mm[];
  readonly axial_n: readonly Newton[];
  readonly shear_n: readonly Newton[];
  readonly bending_n_m: readonly number[];
  readonly sagittal_n_m: readonly number[];
  readonly coronal_n_m: readonly number[];
  readonly torsion_n_m: readonly number[];
}

export interface WallLevel {
  readonly level_mm: Mm;
  readonly stress_mpa: number;
  readonly share: number | null;
  readonly angle_deg: Degrees;
  readonly condition: string;
  readonly closed: boolean;
  readonly area_mm2: number;
}

export interface StrengthDetail {
  readonly forces: readonly SectionForces[];
  readonly wall: readonly WallLevel[];
  readonly weakest: {
    readonly check: string;
    readonly place: string;
    readonly share: number;
    readonly point_mm: Point | null;
    readonly level_mm: Mm | null;
    readonly angle_deg: Degrees | null;
  } | null;
}

export interface Proof {
  readonly interface: {
    readonly engine: string;
    readonly label: string;
    readonly cases: readonly CasePressure[];
  };
  readonly suspension: readonly Check[];
  readonly strength: readonly Check[];
  readonly coupling_tilt_deg: Readonly<Record<string, Degrees>>;
  readonly coupling_offset_mm: Readonly<Record<string, Mm>>;
  readonly readings: readonly PlaceReading[];
  readonly carried: readonly Carried[];
  readonly contact: readonly ContactReading[];
  /** Only of a thorough evaluation, as the four below. */
  readonly uncertainty: {
    readonly engine: string;
    readonly text: string;
    readonly influences: readonly Influence[];
    readonly left_out: readonly string[];
  } | null;
  readonly what_if: readonly WhatIf[];
  readonly answer: { readonly suffices: boolean; readonly text: string } | null;
  readonly agreement: Comparison | null;
  readonly cautions: readonly string[];
  readonly strength_detail: StrengthDetail | null;
  readonly suspension_detail: SuspensionDetail | null;
  /** Where a push on the limb is told: the middle of what the socket covers. */
  readonly socket_middle_mm: Point | null;
}
