/** Which revisions a person means: a drag stores many, of which the last one counts. */

import type { RevisionEntry } from "../api/replies";

/** Changes of the same entry that follow each other within this time are one step. */
const ONE_STEP_MS = 10_000;

/** What a note says was changed, without from what to what. */
function subject(note: string): string {
  return note.replace(/[−-]?\d[\d.,]*\s*\D{0,6} to [^;]*$/, "");
}

/**
 * Revisions, oldest first, without those that the next one carried on: the same entry changed again
 * at once. What was made, what stands and what is named in `kept` always stays.
 */
export function stepsOfWork(
  entries: readonly RevisionEntry[],
  kept: ReadonlySet<number>,
): readonly RevisionEntry[] {
  return entries.filter((entry, i) => {
    const next = entries[i + 1];
    const carriedOn =
      next !== undefined &&
      entry.note !== "" &&
      subject(next.note) === subject(entry.note) &&
      Date.parse(next.saved_at) - Date.parse(entry.saved_at) < ONE_STEP_MS;
    return !carriedOn || entry.made || kept.has(entry.number);
  });
}
