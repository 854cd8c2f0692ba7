/** The leg as it stands and is loaded. */

import type { Degrees, Mm, Newton } from "../../units/quantities";
import type { Point } from "../document";
import type { Basis } from "./finding";

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
  /** Where the adapter stands before and after, from straight or its middle. */
  readonly start: number;
  readonly end: number;
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

/** A load case in the axes of the ground, as every moment of the alignment. */
export interface GroundLoad {
  readonly name: string;
  readonly up_n: Newton;
  readonly forward_n: Newton;
  readonly outward_n: Newton;
  readonly coronal_n_m: number;
  readonly sagittal_n_m: number;
}

export interface MomentCurve {
  readonly stance_percent: readonly number[];
  readonly coronal_n_m: readonly number[];
  readonly sagittal_n_m: readonly number[];
  readonly transverse_n_m: readonly number[];
  readonly vertical_n: readonly number[];
  readonly at: string;
}

export type Settings = Readonly<Record<string, readonly [number, string, Basis]>>;

export interface Alignment {
  readonly points_mm: Readonly<Record<string, Point>>;
  /** Vertical on the bench, in the limb's frame. */
  readonly up: Point;
  /** Line of progression, in the limb's frame. */
  readonly forward: Point;
  readonly load_cases: readonly LoadCase[];
  readonly ground_loads: readonly GroundLoad[];
  readonly moments: MomentCurve;
  readonly adjustment: Adjustment;
  /** How the leg stands, after whatever its adapters were turned. */
  readonly settings: Settings;
  /** What the bench was set to before anything was turned. */
  readonly planned: Settings;
  /** All that has been turned and slid from the bench position, in order. */
  readonly turned: readonly AdjustmentStep[];
  readonly chain: readonly ChainAdapter[];
  readonly screws: readonly SeenScrew[];
  readonly load_line: LoadLine | null;
  readonly effects: readonly ChangeEffect[];
  readonly guide: readonly DeviationAnswer[];
}
