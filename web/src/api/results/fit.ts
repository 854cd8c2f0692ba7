/** What fittings tell. */

import type { Point } from "../document";
import type { DeviationAnswer } from "./align";
import type { Basis } from "./finding";

export type FitVerdict = "fits" | "unclear" | "speaks against" | "not computed";

/** A change to try first, as edits of the document where it can hold it. */
export interface Suggestion {
  readonly text: string;
  readonly edits: readonly {
    readonly path: string;
    readonly value: number;
    /** What stood there in the picture that was read; null where it does not tell. */
    readonly was: number | null;
    /** Level that a position in the list of take-up meant there; null for other entries. */
    readonly level_mm: number | null;
  }[];
}

/** A possible cause and what the computed picture says to it. */
export interface CauseReading {
  readonly cause: string;
  readonly verdict: FitVerdict;
  readonly says: string;
  readonly value: number | null;
  readonly limit: number | null;
  readonly unit: string;
  readonly basis: Basis;
  readonly source: string;
  readonly suggestion: Suggestion | null;
  /** All is well from the limit on: the cause fits where the value falls short of it. */
  readonly at_least: boolean;
}

export interface ComplaintAnswer {
  readonly fitting: number;
  readonly complaint: number;
  readonly sign: string;
  readonly phase: string;
  readonly place: string;
  readonly point_mm: Point | null;
  readonly load_case: string;
  readonly causes: readonly CauseReading[];
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
