/** What each stage computes, as the service sends it (meshes and large arrays come apart). */

import type { Degrees, Kg, Kpa, MetrePerSecond, Mm, Newton, Percent } from "../units/quantities";
import type { CouplingKind, CouplingPlan, LengthUnit, Point, Side } from "./document";

export type SeatAxis = CouplingPlan["axis"];
export type Basis = "measured" | "given" | "estimated" | "guessed" | "default";
export type Severity = "ok" | "note" | "warning" | "not established" | "stop";

export interface Finding {
  readonly stage: string;
  readonly code: string;
  readonly severity: Severity;
  readonly text: string;
  readonly where: string;
  readonly value: number | null;
  readonly limit: number | null;
  readonly unit: string;
  readonly basis: Basis;
  readonly source: string | null;
  /** Why the practitioner accepts it as it stands; "" when they have not. */
  readonly accepted: string;
  /** What would change it, as it reads after "Would change it:"; "" where nothing is known to. */
  readonly remedy: string;
  /** Path of the entry in the case document that would change it, or "". */
  readonly entry: string;
  /** The value is to reach the limit, and not to stay under it. */
  readonly at_least: boolean;
  /** Times by which the value is to stay on the good side of the limit. */
  readonly margin: number;
}

export interface Assessment {
  readonly body_weight_n: Newton;
  readonly speed_m_s: MetrePerSecond;
  readonly speed_basis: Basis;
  readonly load_level: string | null;
  readonly foot_length_mm: Mm;
  readonly foot_length_basis: Basis;
  readonly scores: readonly ScoreReading[];
  readonly suspensions: readonly SuspensionAdvice[];
  readonly socket_words: readonly string[];
}

export interface ScoreReading {
  readonly measure: string;
  readonly value: number;
  readonly unit: string;
  readonly on: string;
  readonly class_by_cut_off: string | null;
  readonly class_by_nearest_mean: string | null;
  readonly change: number | null;
  readonly least_change: number | null;
}

export interface Reason {
  readonly text: string;
  readonly source: string;
}

export interface SuspensionAdvice {
  readonly kind: string;
  readonly speaks_for: readonly Reason[];
  readonly think_twice: readonly Reason[];
  readonly avoid: readonly Reason[];
  readonly not_asked: readonly string[];
}

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

export interface Coupling {
  readonly seat: {
    readonly kind: CouplingKind;
    /** Distally along the coupling's axis. */
    readonly axis: Point;
    readonly cap_mm: Point;
    readonly face_mm: Point;
    readonly base_mm: Point;
    readonly screws_mm: readonly Point[];
    readonly exit_direction: Point;
    readonly target_mm: Point;
    readonly target_axis: Point;
    readonly floor_mm: Mm;
    readonly mouth_mm: Mm;
    readonly tilt_deg: Degrees;
    readonly offset_mm: Mm;
    readonly body_diameter_mm: Mm;
    readonly body_height_mm: Mm;
  };
  readonly height: {
    readonly datum_floor_mm: Mm;
    readonly datum_basis: Basis;
    readonly items: readonly {
      readonly name: string;
      readonly height_mm: Mm;
      readonly basis: Basis;
      /** Key of the catalogue's entry that gives it; empty for none. */
      readonly part: string;
    }[];
    readonly pylon_mm: Mm;
    readonly pylon_minimum_mm: Mm;
    readonly slack_mm: Mm;
    readonly remembered_mm: Mm;
    readonly clearance_mm: Mm;
  };
  readonly withdrawal: Withdrawal;
  readonly limb_withdrawal: Withdrawal;
  readonly dummy_withdrawal: Withdrawal | null;
  readonly axes: readonly {
    readonly axis: SeatAxis;
    readonly tilt_deg: Degrees;
    readonly offset_mm: Mm;
    readonly adapter_deg: Degrees;
    readonly taken: boolean;
  }[];
  /** Parts of the catalogue that would fit, the best first; empty when the parts fit. */
  readonly alternatives: readonly {
    readonly swaps: readonly {
      readonly role: string;
      readonly key: string;
      readonly kind: string;
      readonly saves_mm: Mm;
      readonly capacity_n: Newton | null;
      readonly mass_kg: Kg | null;
      readonly basis: Basis;
    }[];
    readonly spare_mm: Mm;
    readonly capacity_n: Newton | null;
    readonly mass_kg: Kg | null;
    readonly basis: Basis;
  }[];
  /** Direction nearest to the plan's that is free of trim line and shin; null without one. */
  readonly free_exit_deg: Degrees | null;
}

/** Whether something comes out of the socket along the coupling's axis, as if rigid. */
export interface Withdrawal {
  readonly catch_mm: Mm;
  readonly level_mm: Mm;
  readonly angle_deg: Degrees;
  readonly narrow_level_mm: Mm;
  /** Level that the trim line would have to stand at there, for it to pass. */
  readonly trim_to_mm: Mm | null;
  readonly free_catch_mm: Mm;
  readonly free_tilt_deg: Degrees;
  readonly free_angle_deg: Degrees;
}

export interface ScrewTurn {
  readonly adapter: string;
  readonly screw: string;
  readonly turns: number;
}

/** One thing to do at one adapter; what is loosened first, then what is done. */
export interface AdjustmentStep {
  readonly number: number;
  readonly adapter: string;
  readonly kind: string;
  readonly what: string;
  readonly undo: string;
  readonly do: string;
  readonly screw: string;
  readonly amount: number;
  readonly unit: string;
  readonly change: number;
  readonly change_unit: string;
}

export interface Adjustment {
  readonly turns: readonly ScrewTurn[];
  readonly angles_deg: Readonly<Record<string, Degrees>>;
  readonly reached_forward_mm: Mm;
  readonly reached_outward_mm: Mm;
  readonly reached_foot_flexion_deg: Degrees;
  readonly reached_foot_adduction_deg: Degrees;
  readonly length_change_mm: Mm;
  readonly feasible: boolean;
  readonly text: string;
  readonly steps: readonly AdjustmentStep[];
  readonly shifts_mm: Readonly<Record<string, Mm>>;
  readonly reached_up_mm: Mm;
  readonly reached_toe_out_deg: Degrees;
  readonly missing_forward_mm: Mm;
  readonly missing_outward_mm: Mm;
  readonly missing_up_mm: Mm;
  readonly missing_toe_out_deg: Degrees;
  readonly seat_forward_mm: Mm;
  readonly seat_outward_mm: Mm;
  /** The steps that come nearest, where the change is out of reach. */
  readonly nearest_text: string;
}

/** One adapter as it stands in the leg, from the socket down. */
export interface ChainAdapter {
  readonly name: string;
  readonly kind: string;
  readonly place: string;
  readonly point_mm: Point;
  readonly azimuth_deg: Degrees;
  readonly height_mm: Mm;
  readonly set_to: Readonly<Record<string, readonly [number, string]>>;
  readonly range_deg: Degrees;
  readonly range_mm: Mm;
  readonly range_basis: Basis;
  readonly screw_pitch_mm: Mm;
  readonly screw_arm_mm: Mm;
  readonly screw_basis: Basis;
  readonly height_basis: Basis;
}

/** A screw for someone who stands in front of the person and faces the leg. */
export interface SeenScrew {
  readonly adapter: string;
  readonly screw: string;
  readonly gives: string;
  readonly to_the_right: number;
  readonly towards_one: number;
  readonly seen: string;
}

export interface LoadLine {
  readonly point_mm: Point;
  readonly direction: Point;
  readonly places: readonly {
    readonly name: string;
    readonly height_mm: Mm;
    /** The line passes in front of the place: positive. */
    readonly line_forward_mm: Mm;
    /** The line passes lateral of the place: positive. */
    readonly line_outward_mm: Mm;
    readonly basis: Basis;
  }[];
}

export interface PhaseMoments {
  readonly place: string;
  readonly phase: string;
  readonly coronal_n_m: number;
  readonly sagittal_n_m: number;
  readonly transverse_n_m: number;
}

/** What a small change does, before and after. */
export interface ChangeEffect {
  readonly name: string;
  readonly amount: number;
  readonly unit: string;
  readonly before: readonly PhaseMoments[];
  readonly after: readonly PhaseMoments[];
  readonly standing_before_n_m: readonly [number, number];
  readonly standing_after_n_m: readonly [number, number];
  readonly length_before_mm: Mm;
  readonly length_after_mm: Mm;
  readonly foot_forward_mm: Mm;
  readonly foot_outward_mm: Mm;
  readonly foot_flexion_deg: Degrees;
  readonly foot_adduction_deg: Degrees;
}

/** What may be behind something that was seen, and what to change first. */
export interface DeviationAnswer {
  readonly phase: string;
  readonly what: string;
  readonly causes: readonly {
    readonly cause: string;
    readonly says: string;
    readonly verdict: string;
    readonly value: number | null;
    readonly unit: string;
  }[];
  readonly contradictions: readonly string[];
  readonly remarks: readonly string[];
  readonly first_change: string;
  readonly adjustment: Adjustment | null;
  readonly predicted: string;
}

export interface LoadCase {
  readonly name: string;
  readonly wrench_on_limb: { readonly force_n: Point; readonly moment_n_mm: Point };
  readonly coupling_pull_n: Newton;
  readonly basis: Basis;
  readonly text: string;
}

export interface MomentCurve {
  readonly stance_percent: readonly number[];
  readonly coronal_n_m: readonly number[];
  readonly sagittal_n_m: readonly number[];
  readonly transverse_n_m: readonly number[];
  readonly vertical_n: readonly number[];
  readonly at: string;
}

export interface Alignment {
  readonly points_mm: Readonly<Record<string, Point>>;
  /** Vertical on the bench, in the limb's frame. */
  readonly up: Point;
  /** Line of progression, in the limb's frame. */
  readonly forward: Point;
  readonly load_cases: readonly LoadCase[];
  readonly moments: MomentCurve;
  readonly adjustment: Adjustment;
  readonly settings: Readonly<Record<string, readonly [number, string, Basis]>>;
  readonly chain: readonly ChainAdapter[];
  readonly screws: readonly SeenScrew[];
  readonly load_line: LoadLine | null;
  readonly effects: readonly ChangeEffect[];
  readonly guide: readonly DeviationAnswer[];
}

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

/** Who carries a load case, along the direction of contact's whole force. */
export interface Carried {
  readonly load_case: string;
  readonly total_n: number;
  readonly along: Point;
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

export type FitVerdict = "fits" | "unclear" | "speaks against" | "not computed";

/** A change to try first, as edits of the document where it can hold it. */
export interface Suggestion {
  readonly text: string;
  readonly edits: readonly {
    readonly path: string;
    readonly value: number;
    /** What stood there in the picture that was read; null where it does not tell. */
    readonly was: number | null;
  }[];
}

/** A possible cause and what the computed picture says to it. */
export interface FitCause {
  readonly cause: string;
  readonly verdict: FitVerdict;
  readonly says: string;
  readonly value: number | null;
  readonly limit: number | null;
  readonly unit: string;
  readonly basis: Basis;
  readonly source: string;
  readonly suggestion: Suggestion | null;
}

export interface ComplaintAnswer {
  readonly fitting: number;
  readonly complaint: number;
  readonly sign: string;
  readonly phase: string;
  readonly place: string;
  readonly point_mm: Point | null;
  readonly load_case: string;
  readonly causes: readonly FitCause[];
}

/** In which picture one fitting was read, and what that says to the walk. */
export interface FittingReading {
  readonly fitting: number;
  /** null for the case as it stands. */
  readonly revision: number | null;
  /** That revision is of another socket or leg than the one that stands. */
  readonly differs: boolean;
  /** Why it is not the revision that was worn. */
  readonly remark: string;
  readonly walk: readonly {
    readonly answer: DeviationAnswer;
    readonly suggestion: Suggestion | null;
  }[];
}

export interface FitResult {
  readonly answers: readonly ComplaintAnswer[];
  readonly readings: readonly FittingReading[];
  readonly comfort: readonly (readonly [string, number])[];
  readonly ply: readonly (readonly [string, number])[];
}

/** Results by stage. A stage that the service adds later shows its findings alone. */
export interface ResultsByStage {
  readonly assess: Assessment;
  readonly capture: Limb;
  readonly shape: SocketShape;
  readonly couple: Coupling;
  readonly align: Alignment;
  readonly prove: Proof;
  readonly make: Made;
  readonly fit: FitResult;
}

export type StageName = keyof ResultsByStage;
