/** What this browser tab keeps of the guide: where it was and which steps were seen done. */

export interface GuideMemory {
  /** Place last open; null before any. */
  readonly at: string | null;
  readonly done: readonly string[];
}

const NOTHING: GuideMemory = { at: null, done: [] };

const keptAs = (caseId: string): string => `limbwright.guide.${caseId}`;

export function recall(caseId: string): GuideMemory {
  try {
    const kept: unknown = JSON.parse(sessionStorage.getItem(keptAs(caseId)) ?? "null");
    if (typeof kept === "object" && kept !== null && "at" in kept && "done" in kept) {
      const done = Array.isArray(kept.done) ? kept.done.filter(isText) : [];
      return { at: isText(kept.at) ? kept.at : null, done };
    }
  } catch {
    // A browser that keeps nothing begins the guide anew.
  }
  return NOTHING;
}

export function keep(caseId: string, memory: GuideMemory): void {
  try {
    sessionStorage.setItem(keptAs(caseId), JSON.stringify(memory));
  } catch {
    // The guide then remembers as long as the page.
  }
}

function isText(value: unknown): value is string {
  return typeof value === "string";
}
