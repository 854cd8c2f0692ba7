/**
 * What was changed in this tab and is not stored yet, kept so that it outlives a reload.
 *
 * In the tab's own storage, by the identifier of the case, until the service has it.
 */

import type { CaseDocument, Point } from "../api/document";
import { dropFromTab, keepInTab, keptInTab } from "./tab-storage";

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

export function keepUnsaved(id: string, unsaved: Unsaved): void {
  keepInTab(HEAD + id, unsaved);
}

export function dropUnsaved(id: string): void {
  dropFromTab(HEAD + id);
}

/** What was kept for a case; null when nothing was, or nothing that can be understood. */
export function unsavedOf(id: string): Unsaved | null {
  const found = keptInTab(HEAD + id);
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
