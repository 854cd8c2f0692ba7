/**
 * Our own types carry units and read-only marks that the generated ones lack. Here the compiler
 * checks that the two still have the same names and shapes; a drift of the service fails here.
 */

import type { CaseDocument } from "./document";
import type {
  ArrayEntry,
  CaseEntry,
  CaseSection,
  Catalogue,
  Doing,
  EarlierPressures,
  Info,
  Job,
  LandmarkPreview,
  Measured,
  MoveOutcome,
  PlanChanges,
  RevisionEntry,
  ScanEntry,
} from "./replies";
import type { Finding } from "./results";
import type { components } from "./schema";

type Schemas = components["schemas"];

/** A type without units, read-only marks, optional marks and the wording of its strings. */
type Bare<T> = T extends string
  ? string
  : T extends number
    ? number
    : T extends boolean
      ? boolean
      : T extends readonly (infer Item)[]
        ? Bare<Item>[]
        : T extends object
          ? { -readonly [Key in keyof T]-?: Bare<Exclude<T[Key], undefined>> }
          : T;

type Same<A, B> = [Bare<A>] extends [Bare<B>]
  ? [Bare<B>] extends [Bare<A>]
    ? true
    : false
  : false;

type AllTrue<Checks extends Record<string, true>> = Checks;

export type Conformance = AllTrue<{
  document: Same<CaseDocument, Schemas["CaseDocument"]>;
  finding: Same<Finding, Schemas["FindingOut"]>;
  array: Same<ArrayEntry, Schemas["ArrayOut"]>;
  caseEntry: Same<CaseEntry, Schemas["CaseSummary"]>;
  job: Same<Job, Schemas["JobOut"]>;
  catalogue: Same<Catalogue, Schemas["CatalogueOut"]>;
  measured: Same<Measured, Schemas["MeasureOut"]>;
  whatIf: Same<MoveOutcome, Schemas["WhatIfOut"]>;
  planChanges: Same<PlanChanges, Schemas["PlanChangesOut"]>;
  earlier: Same<EarlierPressures, Schemas["EarlierOut"]>;
  section: Same<CaseSection, Schemas["SectionOut"]>;
  landmarkPreview: Same<LandmarkPreview, Schemas["LandmarkPreviewOut"]>;
  scan: Same<ScanEntry, Schemas["ScanOut"]>;
  revision: Same<RevisionEntry, Schemas["RevisionLine"]>;
  doing: Same<Doing, Schemas["DoingOut"]>;
  info: Same<Info, Schemas["Info"]>;
}>;
