/** What this browser tab keeps of the guide: where it was and which steps were seen done. */

import { keepInTab, keptInTab } from "../browser/tab-storage";

export interface GuideMemory {
  /** Place last open; null before any. */
  readonly at: string | null;
  readonly done: readonly string[];
}

const NOTHING: GuideMemory = { at: null, done: [] };

const keptAs = (caseId: string): string => `limbwright.guide.${caseId}`;

export function recall(caseId: string): GuideMemory {
  const kept = keptInTab(keptAs(caseId));
  if (typeof kept === "object" && kept !== null && "at" in kept && "done" in kept) {
    const done = Array.isArray(kept.done) ? kept.done.filter(isText) : [];
    return { at: isText(kept.at) ? kept.at : null, done };
  }
  return NOTHING;
}

export function keep(caseId: string, memory: GuideMemory): void {
  keepInTab(keptAs(caseId), memory);
}

function isText(value: unknown): value is string {
  return typeof value === "string";
}
