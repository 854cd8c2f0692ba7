/** Complaints not told whole yet, kept in the tab's own storage by the case's record. */

import { dropFromTab, keepInTab, keptInTab } from "../browser/tab-storage";
import type { ComplaintDraft, Drafts } from "./view-settings";

const HEAD = "limbwright.complaints.";

export function keepDrafts(record: string, drafts: Drafts): void {
  if (Object.keys(drafts).length === 0) {
    dropFromTab(HEAD + record);
  } else {
    keepInTab(HEAD + record, drafts);
  }
}

/** What was kept of a case; nothing where it cannot be read. */
export function keptDrafts(record: string): Drafts {
  const found = keptInTab(HEAD + record);
  return typeof found === "object" && found !== null
    ? Object.fromEntries(Object.entries(found).filter(isKept))
    : {};
}

function isKept(entry: [string, unknown]): entry is [string, ComplaintDraft] {
  const [number, value] = entry;
  const draft = value as Partial<Record<keyof ComplaintDraft, unknown>> | null;
  return (
    /^\d+$/.test(number) &&
    typeof draft === "object" &&
    draft !== null &&
    [draft.sign, draft.phase, draft.landmark].every(
      (one) => one === null || typeof one === "string",
    ) &&
    (draft.point === null || (Array.isArray(draft.point) && draft.point.length === 3)) &&
    typeof draft.whole === "boolean"
  );
}
