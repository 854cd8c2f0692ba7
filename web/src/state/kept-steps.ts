/**
 * Steps that can be taken back or again, kept in the tab's own storage when the page is left, so that
 * they outlive a reload. They belong to the revision that they lead from, in its own
 * record, and to no other.
 */

import { dropFromTab, keepInTab, keptInTab } from "../browser/tab-storage";
import type { History } from "./history";

const HEAD = "limbwright.steps.";
/** A reload is a matter of the last steps; a tab's storage is small. */
const MOST_KEPT = 40;

export function keepSteps(record: string, revision: number, { past, future }: History): void {
  const kept = { revision, past: past.slice(-MOST_KEPT), future: future.slice(-MOST_KEPT) };
  keepInTab(HEAD + record, kept);
}

/** The steps kept for a revision; null where there are none that lead from it. */
export function stepsOf(record: string, revision: number): History | null {
  const found = keptInTab(HEAD + record);
  dropFromTab(HEAD + record);
  return areSteps(found) && found.revision === revision
    ? { past: found.past, future: found.future, last: null }
    : null;
}

function areSteps(value: unknown): value is Pick<History, "past" | "future"> & {
  readonly revision: number;
} {
  const found = value as { revision?: unknown; past?: unknown; future?: unknown } | null;
  return (
    typeof found === "object" &&
    typeof found?.revision === "number" &&
    [found.past, found.future].every(
      (steps) =>
        Array.isArray(steps) && steps.every((one) => typeof one === "object" && one !== null),
    )
  );
}
