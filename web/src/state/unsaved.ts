/**
 * What was changed in this tab and is not stored yet, kept so that it outlives a reload.
 *
 * In the tab's own storage, by the case's record, until the service has it.
 */

import type { CaseDocument, Point } from "../api/document";
import { dropFromTab, keepInTab, keptInTab } from "../browser/tab-storage";

export interface Pick {
  readonly name: string;
  readonly at: Point;
}

export interface Unsaved {
  /** The revision that it was changed from. */
  readonly base: number;
  readonly document: CaseDocument;
  /** Landmarks placed on the limb that the service has not put on the skin yet. */
  readonly picks: readonly Pick[];
}

const HEAD = "limbwright.unsaved.";

export function keepUnsaved(record: string, unsaved: Unsaved): void {
  keepInTab(HEAD + record, unsaved);
}

export function dropUnsaved(record: string): void {
  dropFromTab(HEAD + record);
}

/** What was kept for a case; null when nothing was, or nothing that can be understood. */
export function unsavedOf(record: string): Unsaved | null {
  const found = keptInTab(HEAD + record);
  return isUnsaved(found) ? found : null;
}

function isUnsaved(value: unknown): value is Unsaved {
  const found = value as Partial<Unsaved> | null;
  return (
    typeof found === "object" &&
    typeof found?.base === "number" &&
    typeof found.document === "object" &&
    Array.isArray(found.picks)
  );
}
