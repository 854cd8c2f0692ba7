/** What is entered of a new case, kept in the tab's own storage until the case is begun. */

import type { LengthUnit, Point } from "../api/document";
import type { ScanEntry } from "../api/replies";
import { dropFromTab, keepInTab, keptInTab } from "../browser/tab-storage";
import { type EnteredPerson, UNKNOWN_PERSON } from "./person-entry";

export interface NewEntry {
  readonly title: string;
  readonly person: EnteredPerson;
  /** The scan as the service took it in; it keeps the file for a day. */
  readonly scan: ScanEntry | null;
  readonly points: Readonly<Record<string, Point>>;
  readonly unit: LengthUnit | null;
  readonly overLiner: boolean;
}

const KEY = "limbwright.new-case";

export const NOTHING: NewEntry = {
  title: "",
  person: UNKNOWN_PERSON,
  scan: null,
  points: {},
  unit: null,
  overLiner: false,
};

/** Keep what differs from an empty form. */
export function keepEntry(entry: NewEntry): void {
  if (JSON.stringify(entry) === JSON.stringify(NOTHING)) {
    dropEntry();
  } else {
    keepInTab(KEY, entry);
  }
}

export function dropEntry(): void {
  dropFromTab(KEY);
}

/** What was kept; null when nothing was, or nothing that can be understood. */
export function keptEntry(): NewEntry | null {
  const found = keptInTab(KEY);
  return isEntry(found) ? found : null;
}

function isEntry(value: unknown): value is NewEntry {
  const found = value as Partial<Record<keyof NewEntry, unknown>> | null;
  return (
    typeof found === "object" &&
    typeof found?.title === "string" &&
    typeof found.overLiner === "boolean" &&
    [found.person, found.points].every((one) => typeof one === "object" && one !== null) &&
    (found.scan === null || isScan(found.scan)) &&
    (found.unit === null || typeof found.unit === "string")
  );
}

function isScan(value: unknown): value is ScanEntry {
  const found = value as Partial<Record<keyof ScanEntry, unknown>> | undefined;
  return (
    typeof found === "object" &&
    typeof found.scan === "string" &&
    typeof found.arrays === "object" &&
    Array.isArray(found.turn)
  );
}
