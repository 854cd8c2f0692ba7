/** The service's replies. */

import type { Kg, Kpa, Mm, Newton } from "../units/quantities";
import type {
  AdapterPlan,
  CaseDocument,
  LandmarkSet,
  LengthUnit,
  Person,
  Point,
  ProvePlan,
  Side,
} from "./document";
import type { AdjustmentStep, CasePressure, Finding, Proof, ResultsByStage } from "./results";

export interface Info {
  readonly version: string;
  readonly stages: readonly { readonly name: string; readonly question: string }[];
  readonly cautions: readonly string[];
  readonly areas: readonly { readonly name: string; readonly loads: boolean }[];
  readonly landmarks: readonly string[];
  readonly materials: readonly MaterialEntry[];
}

/** One material of the table that a socket may be made of. */
export interface MaterialEntry {
  readonly key: string;
  readonly name: string;
  readonly process: ProvePlan["process"];
}

export interface CaseEntry {
  readonly id: string;
  readonly folder: string;
  readonly title: string;
  readonly code: string;
  readonly side: Side | null;
  readonly invented: boolean;
  readonly archived: boolean;
  readonly revision: number;
  /** ISO 8601, UTC. */
  readonly changed_at: string | null;
  /** null before the first evaluation, "" when nothing stops the job. */
  readonly waits_at: string | null;
  /** Where it waits, else the first stage that has something open, else the last. */
  readonly stands_at: string | null;
  /** Open findings; what was accepted is counted apart. */
  readonly stop: number;
  readonly not_established: number;
  readonly warning: number;
  readonly accepted: number;
  /** The limb from the front, as a data address. */
  readonly picture: string | null;
  /** Why the case cannot be opened, if it cannot. */
  readonly problem: string | null;
}

export interface CaseListing {
  readonly cases: readonly CaseEntry[];
  /** The case that the service was started on, if it was one. */
  readonly first: string | null;
}

/** A scan that was sent and belongs to no case yet. */
export interface ScanEntry {
  readonly scan: string;
  readonly triangles: number;
  readonly unit: LengthUnit;
  readonly sureness: number;
  readonly text: string;
  /** Rotation (rows) from the scan's frame to that of the arrays. */
  readonly turn: readonly Point[];
  readonly arrays: ArrayEntries;
}

/** What a case is begun from, beside its scan. */
export interface BeginCase {
  readonly scan: string;
  readonly title: string;
  readonly person: Person;
  readonly landmarks: LandmarkSet;
  readonly unit: LengthUnit | null;
  readonly scanned_over: "skin" | "liner";
}

export interface StoredCase {
  readonly revision: number;
  readonly document: CaseDocument;
}

/** A case as opened: its record tells it from any other that comes to lie in the same folder. */
export interface OpenedCase extends StoredCase {
  readonly record: string;
}

export interface StageReply<Results> {
  readonly state: "ready" | "failed" | "blocked" | "not asked";
  readonly error: { readonly message: string; readonly where: string | null } | null;
  readonly findings: readonly Finding[];
  readonly results: Results | null;
}

export type StageReplies = {
  readonly [Name in keyof ResultsByStage]?: StageReply<ResultsByStage[Name]>;
};

export interface ArrayEntry {
  readonly key: string;
  readonly dtype: "float32" | "uint32" | "uint8";
  readonly shape: readonly number[];
}

/** By name. */
export type ArrayEntries = Readonly<Record<string, ArrayEntry>>;

/** Stages that a first look may end with. */
export const LOOKED_AT = ["capture", "shape", "couple", "align"] as const;
export type LookedAt = "assess" | (typeof LOOKED_AT)[number];

/** What a first look shall tell: stages, and the load case whose pressure is in view. */
export interface Look {
  readonly since: LookedAt;
  readonly upto: LookedAt;
  readonly loadCase: string | null;
}

/** Stages of a revision, and the arrays that belong to them. */
interface Computed {
  readonly revision: number;
  readonly elapsed_ms: number;
  readonly stages: StageReplies;
  readonly cautions: readonly string[];
  readonly arrays: ArrayEntries;
}

/** Some stages of a case, and the pressure of one load case. */
export interface FirstLook extends Computed {
  readonly pressure: CasePressure | null;
}

/** What was stored, with a first look where one was asked for and could be had at once. */
export interface SavedCase extends StoredCase {
  readonly look: FirstLook | null;
}

export interface Evaluation extends Computed {
  readonly findings: readonly Finding[];
}

export interface Job {
  readonly job: string;
  readonly kind: "capture" | "make" | "confirm";
  /** Of the case, that it was started on. */
  readonly revision: number | null;
  readonly state: "running" | "done" | "failed" | "cancelled";
  readonly progress: number;
  readonly text: string;
  readonly files: readonly {
    readonly name: string;
    readonly url: string;
    readonly bytes: number;
  }[];
  readonly error: string | null;
}

/** What is being done, and the share done. */
export interface Doing {
  readonly text: string;
  readonly progress: number;
}

/** What lies along one way from the middle of a section. */
export interface SectionReading {
  /** From outward towards the front. */
  readonly angle_deg: number;
  readonly space_mm: Mm | null;
  readonly wall_mm: Mm | null;
  readonly cover_mm: Mm | null;
}

/** A cross-section in the patient's frame: x to the right, y forward. */
export interface CaseSection {
  readonly level_mm: Mm;
  readonly outlines: Readonly<Record<string, readonly (readonly (readonly [number, number])[])[]>>;
  readonly middle_mm: readonly [number, number];
  readonly readings: Readonly<Record<string, SectionReading>>;
  /** All around, at even angles that begin outward. */
  readonly around: readonly SectionReading[];
}

/** One part to choose from; an example is invented and decides nothing. */
export interface CataloguePart {
  readonly key: string;
  readonly kind: string;
  readonly example: boolean;
  readonly provenance: string;
  readonly date: string;
  readonly note: string;
  readonly height_mm: Mm;
  readonly mass_kg: Kg | null;
  readonly capacity_n: Newton | null;
  readonly max_body_mass_kg: Kg | null;
  readonly max_activity: string | null;
}

export interface Catalogue {
  readonly parts: readonly CataloguePart[];
  /** Kind of part by the place that takes it. */
  readonly roles: Readonly<Record<string, string>>;
  /** Kind of part by kind of coupling. */
  readonly locks: Readonly<Record<string, string>>;
}

/** A change of the alignment, from where the case has it. */
export interface Move {
  readonly foot_forward_mm?: number;
  readonly foot_out_mm?: number;
  readonly foot_up_mm?: number;
  readonly toe_out_deg?: number;
  readonly dorsiflexion_deg?: number;
  readonly outer_border_up_deg?: number;
  /** Turned and slid at the adapters as the leg stands; else the bench is set anew. */
  readonly by_adapters?: boolean;
}

export interface MoveOutcome {
  readonly revision: number;
  readonly moments: readonly {
    readonly place: string;
    readonly phase: string;
    readonly plane: string;
    readonly before_n_m: number;
    readonly after_n_m: number;
  }[];
  readonly areas: readonly AreaChange[];
  readonly length_before_mm: Mm;
  readonly length_after_mm: Mm;
  readonly pylon_before_mm: Mm;
  readonly pylon_after_mm: Mm;
  readonly new_findings: readonly string[];
  readonly gone_findings: readonly string[];
  readonly label: string;
  /** Whether the adapters reach what was asked; else the steps come as near as they can. */
  readonly feasible: boolean;
  readonly steps: readonly AdjustmentStep[];
  readonly adapters: readonly AdapterPlan[];
  /** Pressures after it, by load case that finds its equilibrium. */
  readonly arrays: ArrayEntries;
}

/** Null where the load case found no equilibrium. */
export interface AreaChange {
  readonly load_case: string;
  readonly area: string;
  readonly mean_before_kpa: Kpa | null;
  readonly mean_after_kpa: Kpa | null;
  readonly peak_before_kpa: Kpa | null;
  readonly peak_after_kpa: Kpa | null;
  readonly limit_kpa: Kpa | null;
}

/** Along the skin null where no way joins the points. */
export interface Measured {
  readonly straight_mm: Mm;
  readonly surface_mm: Mm | null;
  /** The way along the skin, from the first point to the second. */
  readonly way_patient_mm: readonly Point[] | null;
}

/** What the limb frame becomes with a landmark held elsewhere; lines in the patient's frame. */
export interface LandmarkPreview {
  readonly lower_mm: Mm;
  readonly tilt_deg: number;
  readonly turn_deg: number;
  readonly length_below_datum_mm: Mm;
  readonly axis_patient_mm: readonly Point[];
  readonly datum_patient_mm: readonly (readonly Point[])[];
}

export interface RevisionEntry {
  readonly number: number;
  readonly saved_at: string;
  readonly note: string;
  /** Whether files were made of it here. */
  readonly made: boolean;
}

/** One entry of the plan in two revisions; null where it is not stated or not there. */
export interface PlanChange {
  readonly stage: string;
  readonly path: string;
  readonly place: string;
  readonly name: string;
  readonly kind: "changed" | "added" | "removed" | "moved" | "order";
  readonly before: number | string | null;
  readonly after: number | string | null;
  readonly unit: string;
  readonly level_mm: Mm | null;
}

export interface PlanChanges {
  readonly before: number;
  readonly after: number;
  readonly changes: readonly PlanChange[];
}

/** Pressures of another revision on the same places of the limb. */
export interface EarlierPressures {
  readonly revision: number;
  readonly arrays: ArrayEntries;
}

export type MeshLevel = "coarse" | "medium" | "fine";

/** What a thorough run found, and of which revision. */
export interface Confirmation {
  readonly revision: number;
  readonly finite_elements: boolean;
  readonly prove: StageReply<Proof>;
  readonly arrays: ArrayEntries;
}

export interface Problem {
  readonly path: string;
  readonly text: string;
}
