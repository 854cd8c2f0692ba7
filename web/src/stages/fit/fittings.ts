/** Fittings as they are begun and told apart. */

import type { CaseDocument, FitPhase, Fitting, HandChange } from "../../api/document";
import { today } from "../../units/today";
import { valueAt, withEdits } from "./apply-edits";

/** The load case that each phase is read in, as the service reads it. */
export const READ_AS: Readonly<Record<FitPhase, string>> = {
  donned: "donned",
  standing: "standing",
  early_stance: "early_stance",
  mid_stance: "mid_stance",
  late_stance: "late_stance",
  swing: "swing",
  after_doffing: "mid_stance",
};

/** What was worn is asked, so it is left open. */
export function freshFitting(): Fitting {
  return {
    date: today(),
    revision: null,
    comfort: null,
    comfort_best: null,
    comfort_worst: null,
    ply: null,
    worn_minutes: null,
    complaints: [],
    observed: [],
    changes: [],
    applied: [],
    note: "",
  };
}

/** Whether nothing is logged beyond its day and what was worn: such a one may go. */
export function isEmpty(fitting: Fitting): boolean {
  const { comfort, comfort_best, comfort_worst, ply, worn_minutes } = fitting;
  const { complaints, observed, changes, applied, note } = fitting;
  const scores = [comfort, comfort_best, comfort_worst, ply, worn_minutes];
  const lists = [complaints, observed, changes, applied];
  return (
    scores.every((one) => one === null) && lists.every((one) => one.length === 0) && note === ""
  );
}

function depthPath(change: HandChange): string {
  return `shape.areas.${change.area ?? ""}.depth_mm`;
}

/** The depth that an area of the plan would have with a change by hand; null where none can be. */
export function depthWith(document: CaseDocument, change: HandChange): number | null {
  const now = change.area === null ? null : valueAt(document, depthPath(change));
  return now === null || change.depth_mm === null
    ? null
    : Math.round((now + change.depth_mm) * 100) / 100;
}

/** A change by hand entered into the plan, and marked as entered. */
export function withEntered(document: CaseDocument, fitting: number, index: number): CaseDocument {
  const change = document.fit.fittings[fitting]?.changes[index];
  const depth = change === undefined ? null : depthWith(document, change);
  if (change === undefined || depth === null) {
    return document;
  }
  const entered = withEdits(document, [{ path: depthPath(change), value: depth }]);
  const fittings = entered.fit.fittings.map((one, i) =>
    i === fitting
      ? {
          ...one,
          changes: one.changes.map((old, k) => (k === index ? { ...old, entered: true } : old)),
        }
      : one,
  );
  return { ...entered, fit: { ...entered.fit, fittings } };
}
