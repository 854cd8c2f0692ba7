/** A scan dropped on the list of cases, until the page of the new case takes it. */

let held: File | null = null;

export function holdScan(file: File): void {
  held = file;
}

/** The dropped file, once. */
export function takeHeldScan(): File | null {
  const file = held;
  held = null;
  return file;
}
