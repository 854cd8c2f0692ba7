/** The case document: what the practitioner decides, as the service stores it. */

import type { Degrees, Kg, Kpa, MetrePerSecond, Mm, Newton, Percent } from "../units/quantities";

export type Side = "right" | "left";
export type Activity = "K0" | "K1" | "K2" | "K3" | "K4";
export type Point = readonly [number, number, number];

export interface Person {
  readonly code: string;
  readonly side: Side;
  readonly mass_kg: Kg;
  readonly stature_mm: Mm;
  readonly activity: Activity;
  readonly walking_speed_m_s: MetrePerSecond | null;
  readonly foot_length_mm: Mm | null;
  readonly flexion_contracture_deg: Degrees;
  readonly carried_load_kg: Kg | null;
  readonly unusual_mass_confirmed: boolean;
  readonly condition: Condition;
  readonly limb: LimbDescription;
  readonly scores: readonly Score[];
}

type Amount = "little" | "usual" | "much";

export interface Condition {
  readonly hands: "full" | "weak" | "poor" | null;
  readonly sight: "full" | "reduced" | "poor" | null;
  readonly help: "none" | "sometimes" | "daily" | null;
  readonly follows_instructions: "reliably" | "mostly" | "poorly" | null;
  readonly perspiration: Amount | null;
  readonly daily_volume_change: Amount | null;
  readonly pain_when_pulled: boolean | null;
  readonly implanted_device: boolean | null;
  readonly metal_dust: boolean | null;
  readonly both_sides: boolean | null;
  readonly kneels: boolean | null;
  readonly short_thigh: boolean | null;
  readonly full_thigh: boolean | null;
}

export interface LimbDescription {
  readonly shape: "conical" | "bulbous" | "cylindrical" | null;
  readonly tissue_amount: "sufficient" | "insufficient" | "excessive" | null;
  readonly tissue_consistency: "normal" | "flabby" | "indurated" | null;
  readonly musculature: "attached" | "detached" | "displaced" | null;
  readonly bony_prominences: string;
  readonly foreign_bodies: string;
  readonly end_bearing: boolean | null;
  readonly skin_intact: boolean | null;
  readonly sensation: "normal" | "reduced" | "absent" | null;
  readonly scar_position: string;
  readonly scar_healed: boolean | null;
  readonly scar_mobility: "mobile" | "adherent" | null;
  readonly scar_invaginated: boolean | null;
  readonly grafts: boolean | null;
  readonly dermatitis: boolean | null;
  readonly allergy: string;
  readonly hyperhidrosis: boolean | null;
  readonly colour: "normal" | "cyanotic" | "discoloured" | null;
  readonly warm: boolean | null;
  readonly excessive_oedema: boolean | null;
  readonly pain_0_10: number | null;
  readonly phantom_pain_0_10: number | null;
  readonly neuroma: boolean | null;
  readonly knee_flexion_deg: Degrees | null;
  readonly knee_stable: boolean | null;
}

export type MeasureName =
  | "amppro"
  | "ampnopro"
  | "two_minute_walk"
  | "six_minute_walk"
  | "ten_metre_walk"
  | "timed_up_and_go"
  | "l_test"
  | "four_square_step"
  | "socket_comfort";

export interface Score {
  readonly measure: MeasureName;
  readonly value: number;
  readonly on: string;
}

export interface SocketDescription {
  readonly axial_stabilization: "proximal" | "distal" | "total socket" | null;
  readonly antero_posterior: string;
  readonly medio_lateral: string;
  readonly rotational: string;
  readonly liner_modifies: boolean | null;
}

export type LinerMaterial = "silicone" | "urethane" | "tpe" | "foam" | "none";

export interface Liner {
  readonly material: LinerMaterial;
  readonly thickness_mm: Mm;
  readonly cap_thickness_mm: Mm;
  readonly cap_diameter_mm: Mm;
  readonly modulus_kpa: Kpa | null;
  readonly friction: number | null;
  readonly fabric_faced: boolean | null;
}

export type LengthUnit = "mm" | "cm" | "m" | "inch";

export interface LandmarkSet {
  readonly unit: LengthUnit;
  readonly points: Readonly<Record<string, Point>>;
  readonly guessed: readonly string[];
}

export interface PalpatedDepth {
  readonly landmark: string | null;
  readonly point: readonly [number, number, number] | null;
  readonly bone: "tibia" | "fibula";
  readonly depth_mm: Mm;
  readonly basis: "palpated" | "measured";
  /** An unlikely depth was checked. */
  readonly confirmed: boolean;
}

export interface CastingPlan {
  readonly walked_in: boolean | null;
  readonly tape_width_mm: Mm;
  readonly tape_length_mm: Mm;
  readonly layers: number | null;
  readonly waste_percent: number;
  readonly above_trim_mm: Mm;
  readonly water_c: number;
  readonly hot_water_confirmed: boolean;
  readonly film: boolean;
  readonly film_mm: Mm;
  readonly dummy_in_place: boolean;
  readonly plaster_water_percent: number;
}

export interface CapturePlan {
  readonly scan: string;
  readonly unit: LengthUnit | null;
  readonly scanned_over: "skin" | "liner";
  readonly landmarks: LandmarkSet;
  readonly tape: string | null;
  readonly bones: {
    readonly tibia: string;
    readonly fibula: string;
    readonly unit: LengthUnit;
  } | null;
  readonly palpated: readonly PalpatedDepth[];
  readonly casting: CastingPlan;
  readonly level_step_mm: Mm;
  readonly surface_edge_mm: Mm;
}

export interface AreaPlan {
  readonly name: string;
  /** Positive = space added (relief), negative = the socket presses in (load). */
  readonly depth_mm: Mm;
  readonly length_mm: Mm | null;
  readonly width_mm: Mm | null;
  readonly blend_mm: Mm | null;
  readonly move_distal_mm: Mm;
  readonly move_around_mm: Mm;
}

export interface TakeUpPoint {
  readonly level_mm: Mm;
  readonly girth_percent: Percent;
}

export interface TrimPoint {
  readonly angle_deg: Degrees;
  readonly height_mm: Mm;
}

export interface TrimPlan {
  readonly anterior_mm: Mm;
  readonly medial_mm: Mm;
  readonly lateral_mm: Mm;
  readonly posterior_mm: Mm;
  readonly extra: readonly TrimPoint[];
}

export interface ShapePlan {
  readonly areas: readonly AreaPlan[];
  readonly take_up: readonly TakeUpPoint[];
  readonly trim: TrimPlan;
  readonly brim: { readonly flare_mm: Mm; readonly height_mm: Mm };
}

export type CouplingKind = "pin" | "magnet" | "lanyard" | "suction" | "vacuum" | "sleeve" | "strap";

export interface CouplingPlan {
  readonly kind: CouplingKind;
  readonly axis: "limb" | "distal" | "socket" | "balanced" | "chosen";
  readonly tilt_forward_deg: Degrees;
  readonly tilt_inward_deg: Degrees;
  readonly offset_o_mm: Mm;
  readonly offset_f_mm: Mm;
  readonly spacing_mm: Mm;
  readonly body_diameter_mm: Mm | null;
  readonly body_height_mm: Mm | null;
  readonly target_diameter_mm: Mm | null;
  readonly capacity_n: Newton | null;
  readonly tolerance_tilt_deg: Degrees | null;
  readonly tolerance_offset_mm: Mm | null;
  readonly self_seating: boolean | null;
  readonly screw_square_mm: Mm;
  readonly screw_diameter_mm: Mm;
  readonly exit_angle_deg: Degrees;
  readonly exit_diameter_mm: Mm;
}

export interface PartsPlan {
  readonly datum_floor_mm: Mm | null;
  readonly plate_mm: Mm | null;
  readonly socket_adapter_mm: Mm | null;
  readonly foot_adapter_mm: Mm | null;
  readonly foot_mm: Mm | null;
  readonly shoe_heel_mm: Mm;
  readonly shoe_mass_kg: Kg;
  readonly pylon_minimum_mm: Mm | null;
  readonly pylon_outside_mm: Mm;
  readonly pylon_wall_mm: Mm;
  readonly prosthesis_mass_kg: Kg | null;
}

/** Parts of the catalogue, by their keys. */
export interface PartChoice {
  readonly coupling: string | null;
  readonly square_plate: string | null;
  readonly plate: string | null;
  readonly socket_adapter: string | null;
  readonly pylon: string | null;
  readonly foot_adapter: string | null;
  readonly foot: string | null;
  readonly dummy: string | null;
  readonly dummy_ring: string | null;
}

export type AdapterKind = "pyramid" | "tube_clamp" | "slide" | "rotation" | "offset";

export interface AdapterPlan {
  readonly place: "socket" | "foot";
  readonly kind: AdapterKind;
  readonly flexion_deg: Degrees;
  readonly adduction_deg: Degrees;
  readonly forward_mm: Mm;
  readonly outward_mm: Mm;
  readonly turn_deg: Degrees;
  readonly length_mm: Mm;
  readonly offset_mm: Mm;
  readonly azimuth_deg: Degrees;
  readonly height_mm: Mm | null;
  readonly range_deg: Degrees | null;
  readonly range_mm: Mm | null;
  readonly screw_pitch_mm: Mm | null;
  readonly screw_arm_mm: Mm | null;
}

/** Something seen while the person walked. */
export interface Observation {
  readonly phase: string;
  readonly what: string;
}

export interface AlignPlan {
  readonly socket_flexion_deg: Degrees | null;
  readonly socket_adduction_deg: Degrees | null;
  readonly foot_inset_mm: Mm | null;
  readonly foot_forward_mm: Mm | null;
  readonly toe_out_deg: Degrees | null;
  readonly foot_heel_mm: Mm | null;
  readonly shoe_forefoot_mm: Mm | null;
  readonly adapters: readonly AdapterPlan[];
  readonly wanted_forward_mm: Mm;
  readonly wanted_outward_mm: Mm;
  readonly wanted_foot_flexion_deg: Degrees;
  readonly wanted_foot_adduction_deg: Degrees;
  readonly wanted_up_mm: Mm | null;
  readonly wanted_toe_out_deg: Degrees | null;
  readonly wanted_coronal_n_m: number | null;
  readonly wanted_sagittal_n_m: number | null;
  readonly observed: readonly Observation[];
}

/** One specimen of the lay-up, bent to failure over two supports. */
export interface CouponPlan {
  readonly span_mm: Mm;
  readonly width_mm: Mm;
  readonly thickness_mm: Mm;
  readonly force_n: Newton;
  readonly deflection_mm: Mm | null;
  readonly deflection_force_n: Newton | null;
  readonly direction: "along" | "round";
}

export interface SuspensionPlan {
  readonly second: CouplingPlan["kind"] | null;
  readonly second_capacity_n: Newton | null;
  readonly pressure_kpa: Kpa | null;
  readonly seal_level_mm: Mm | null;
  readonly magnet_gap_mm: Mm | null;
  readonly centre_of_mass_mm: Mm | null;
}

export interface ProvePlan {
  readonly process: "walking_cast" | "check_socket" | "printed" | "laminated";
  readonly material: string;
  readonly own_material: {
    readonly strength_mpa: number | null;
    readonly modulus_mpa: number | null;
    readonly source: string;
  };
  readonly coupons: { readonly specimens: readonly CouponPlan[]; readonly source: string };
  readonly layers: number | null;
  readonly layer_mm: Mm | null;
  readonly wall_mm: Mm | null;
  readonly distal_plate_mm: Mm | null;
  readonly wanted_margin: number;
  readonly wall_by_elements: boolean;
  readonly cast: {
    readonly roll_width_mm: Mm | null;
    readonly roll_length_mm: Mm | null;
    readonly waste_percent: number | null;
  };
  readonly suspension: SuspensionPlan;
  readonly tissue: { readonly modulus_kpa: Kpa | null; readonly poisson: number | null };
  readonly engine: string;
  readonly mesh: "coarse" | "medium" | "fine";
}

export type FitSign =
  | "pain"
  | "pressure"
  | "rubbing"
  | "pinching"
  | "numbness"
  | "redness_that_stays"
  | "blister_or_broken_skin"
  | "discoloured_or_swollen_end"
  | "loose"
  | "socket_turns"
  | "limb_moves_up_and_down"
  | "end_bottoms_out"
  | "brim_gapes";

export type FitPhase =
  | "donned"
  | "standing"
  | "early_stance"
  | "mid_stance"
  | "late_stance"
  | "swing"
  | "after_doffing";

export type Output =
  | "socket_3mf"
  | "socket_stl"
  | "positive_3mf"
  | "positive_stl"
  | "work_order"
  | "template"
  | "casting_sheet"
  | "findings"
  | "case";

export interface MakePlan {
  readonly field_spacing_mm: Mm;
  readonly mark_side: boolean;
  readonly outputs: readonly Output[];
}

export interface Complaint {
  readonly sign: FitSign;
  readonly phase: FitPhase;
  readonly landmark: string | null;
  /** In the scan's own frame, mm. */
  readonly point: Point | null;
  readonly severity: number | null;
  readonly note: string;
}

export interface HandChange {
  readonly what: string;
  readonly area: string | null;
  /** Space added is positive, pressed in is negative. */
  readonly depth_mm: Mm | null;
  readonly entered: boolean;
}

/** A suggestion that was put into the plan, so that it is put there once. */
export interface AppliedSuggestion {
  readonly cause: string;
  readonly text: string;
  readonly date: string;
  /** First revision that holds it. */
  readonly revision: number;
  readonly edits: readonly {
    readonly path: string;
    readonly before: number | null;
    readonly after: number;
  }[];
}

export interface Fitting {
  readonly date: string;
  readonly revision: number | null;
  readonly comfort: number | null;
  readonly comfort_best: number | null;
  readonly comfort_worst: number | null;
  readonly ply: number | null;
  readonly worn_minutes: number | null;
  readonly complaints: readonly Complaint[];
  readonly observed: readonly Observation[];
  readonly changes: readonly HandChange[];
  readonly applied: readonly AppliedSuggestion[];
  readonly note: string;
}

/** A finding as it stood when it was accepted; it lapses when the finding changes. */
export interface AcceptedFinding {
  readonly stage: string;
  readonly code: string;
  readonly where: string;
  readonly severity: "ok" | "note" | "warning" | "not established" | "stop";
  readonly value: number | null;
  readonly reason: string;
}

export interface CaseDocument {
  readonly schema_version: number;
  readonly title: string;
  readonly invented: boolean;
  readonly person: Person;
  readonly liner: Liner;
  readonly socket: SocketDescription;
  readonly capture: CapturePlan;
  readonly shape: ShapePlan;
  readonly couple: {
    readonly coupling: CouplingPlan;
    readonly parts: PartsPlan;
    readonly catalogue: PartChoice;
  };
  readonly align: AlignPlan;
  readonly prove: ProvePlan;
  readonly make: MakePlan;
  readonly fit: { readonly fittings: readonly Fitting[] };
  readonly accepted: readonly AcceptedFinding[];
}
