/** Where an entry of the case document stands on the page. */

import { showEntry } from "./entry";

const CAN_FOCUS = "input, select, textarea, button, a[href]";
const WHO_AND_WHAT = ["person", "liner", "socket"];

/** The stage whose panel holds an entry: "prove" of "prove.wall_mm". */
export function stageOfEntry(entry: string): string {
  const head = entry.split(".")[0] ?? "";
  return WHO_AND_WHAT.includes(head) ? "assess" : head;
}

/** The field of an entry, or the first of those below it: "shape.trim" has one for each height. */
export function fieldOfEntry(panel: ParentNode, entry: string): HTMLElement | null {
  const fields = [...panel.querySelectorAll<HTMLElement>("[data-entry]")];
  const found =
    fields.find((field) => field.dataset.entry === entry) ??
    fields.find((field) => field.dataset.entry?.startsWith(`${entry}.`));
  if (found === undefined) {
    return null;
  }
  return found.matches(CAN_FOCUS) ? found : found.querySelector<HTMLElement>(CAN_FOCUS);
}

/** Takes the focus to an entry's field, opening what hides it; false where there is none. */
export function focusEntry(panel: ParentNode, entry: string): boolean {
  const field = fieldOfEntry(panel, entry);
  if (field === null) {
    return false;
  }
  showEntry(field);
  return true;
}
