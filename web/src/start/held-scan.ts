/** A scan dropped on the list of cases, until the page of the new case takes it. */

import type { Dropped } from "./scan-drop";

let held: Dropped | null = null;

export function holdScan(dropped: Dropped): void {
  held = dropped;
}

/** What was dropped, once. */
export function takeHeldScan(): Dropped | null {
  const dropped = held;
  held = null;
  return dropped;
}
