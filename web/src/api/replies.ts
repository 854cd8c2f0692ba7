/** The service's replies. */

import type { Mm } from "../units/quantities";
import type { CaseDocument, LandmarkSet, LengthUnit, Person, Point, Side } from "./document";
import type { Finding, Proof, ResultsByStage } from "./results";

export interface Info {
  readonly version: string;
  readonly stages: readonly { readonly name: string; readonly question: string }[];
  readonly cautions: readonly string[];
  readonly areas: readonly { readonly name: string; readonly loads: boolean }[];
  readonly landmarks: readonly string[];
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
  readonly stop: number;
  readonly not_established: number;
  readonly warning: number;
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
  readonly arrays: Readonly<Record<string, ArrayEntry>>;
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

export interface Evaluation {
  readonly revision: number;
  readonly elapsed_ms: number;
  readonly stages: StageReplies;
  readonly findings: readonly Finding[];
  readonly cautions: readonly string[];
  readonly arrays: Readonly<Record<string, ArrayEntry>>;
}

export interface Job {
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

export interface SectionReading {
  readonly direction: string;
  readonly space_mm: Mm | null;
  readonly wall_mm: Mm | null;
  readonly cover_mm: Mm | null;
}

/** A cross-section in the patient's frame: x to the right, y forward. */
export interface CaseSection {
  readonly level_mm: Mm;
  readonly outlines: Readonly<Record<string, readonly (readonly (readonly [number, number])[])[]>>;
  readonly middle_mm: readonly [number, number];
  readonly readings: readonly SectionReading[];
}

export type MeshLevel = "coarse" | "medium" | "fine";

/** What a thorough run found, and of which revision. */
export interface Confirmation {
  readonly revision: number;
  readonly finite_elements: boolean;
  readonly prove: StageReply<Proof>;
  readonly arrays: Readonly<Record<string, ArrayEntry>>;
}

export interface Problem {
  readonly path: string;
  readonly text: string;
}
