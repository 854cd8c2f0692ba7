/** Complaints not told whole yet, kept in the tab's own storage so that they outlive a reload. */

import { dropFromTab, keepInTab, keptInTab } from "../state/tab-storage";
import type { ComplaintDraft, Drafts } from "./view-settings";

const HEAD = "limbwright.complaints.";

export function keepDrafts(id: string, drafts: Drafts): void {
  if (Object.keys(drafts).length === 0) {
    dropFromTab(HEAD + id);
  } else {
    keepInTab(HEAD + id, drafts);
  }
}

/** What was kept of a case; nothing where it cannot be read. */
export function keptDrafts(id: string): Drafts {
  const found = keptInTab(HEAD + id);
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
