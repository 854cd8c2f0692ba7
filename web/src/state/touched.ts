/** Which stages an edit of a part of the document touches. */

import type { CaseDocument } from "../api/document";
import type { StageName } from "../api/results";
import { JOB_ORDER } from "./stage-state";

/** The part of the document that an edit changed, by the document's own names. */
export type Section = Exclude<keyof CaseDocument, "schema_version" | "invented">;

/**
 * Stages whose results may be others after an edit of a section. An earlier stage can read a later
 * one's plan: the casting plan shown with the captured limb reads the trim line. A test of the
 * engine holds this table to what its steps read.
 */
export const TOUCHED: Readonly<Record<Section, readonly StageName[]>> = {
  title: [],
  person: ["assess", "capture", "shape", "couple", "align", "prove", "make", "fit"],
  liner: ["assess", "capture", "shape", "couple", "align", "prove", "make", "fit"],
  socket: ["assess", "align", "prove", "fit"],
  capture: ["capture", "shape", "couple", "align", "prove", "make", "fit"],
  shape: ["capture", "shape", "couple", "align", "prove", "make", "fit"],
  couple: ["assess", "capture", "couple", "align", "prove", "make", "fit"],
  align: ["couple", "align", "prove", "make", "fit"],
  prove: ["capture", "couple", "align", "prove", "make", "fit"],
  make: ["make"],
  fit: ["fit"],
  accepted: [],
};

/** What edits of some sections touch together. */
export interface Touch {
  /** Index in the order of the job of the first stage that was edited. */
  readonly from: number;
  /** Stages that are as old as before the edit until they are told anew. */
  readonly stale: ReadonlySet<StageName>;
}

export const EVERYTHING: Touch = { from: 0, stale: new Set(JOB_ORDER) };

export function touchOf(sections: readonly Section[]): Touch {
  return {
    from: Math.min(JOB_ORDER.length, ...sections.map(editedStage)),
    stale: new Set(sections.flatMap((section) => TOUCHED[section])),
  };
}

/** Index in the order of the job of the stage that a section is edited in. */
function editedStage(section: Section): number {
  switch (section) {
    case "title":
    case "accepted":
      return JOB_ORDER.length;
    case "person":
    case "liner":
    case "socket":
      return 0;
    default:
      return JOB_ORDER.indexOf(section);
  }
}
