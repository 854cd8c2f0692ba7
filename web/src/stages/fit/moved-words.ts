/** From what a suggested step counts, and what the plan has there now, in words. Pure. */

import type { AppliedSuggestion, CaseDocument } from "../../api/document";
import type { Suggestion } from "../../api/results";
import { fittingDigits } from "../../units/display";
import { levelWords } from "../../words/words";
import { isPassed, type Moved } from "./apply-edits";

type Write = (value: number, unit: string, digits?: number) => string;

/** "2.5 mm as worn, 2.0 mm in the plan now"; with its place among several. */
export function movedWords(
  { path, ...moved }: Moved,
  document: CaseDocument,
  several: boolean,
  text: Write,
): string {
  const place = several ? `${placeOf(path, document, text)}: ` : "";
  const was = amountWords(moved.was, path, text);
  const now = amountWords(moved.now, path, text);
  const stays = several && isPassed({ path, ...moved }) ? ", further already: it stays" : "";
  return `${place}${was} as worn, ${now} in the plan now${stays}`;
}

/** What the button does: said in full where the step in the sentence is not the plan's own. */
export function pressWords({ edits }: Suggestion, moved: readonly Moved[], text: Write): string {
  const [only] = moved;
  return only === undefined || edits.length > 1
    ? "Change the plan so"
    : `Change the plan ${fromTo(only.path, only.now, only.value, text)}`;
}

/** What the press changed, where the plan had another value then than what was worn. */
export function appliedFrom(
  { edits: done }: AppliedSuggestion,
  { edits }: Suggestion,
  text: Write,
): string {
  const [first] = done;
  const was = edits.find(({ path }) => path === first?.path)?.was ?? null;
  const before = first?.before ?? null;
  return first === undefined || done.length > 1 || was === null || before === null || before === was
    ? ""
    : ` The plan went ${fromTo(first.path, before, first.after, text)}.`;
}

function fromTo(path: string, before: number, after: number, text: Write): string {
  return `from ${amountWords(before, path, text)} to ${amountWords(after, path, text)}`;
}

function placeOf(path: string, document: CaseDocument, text: Write): string {
  const [, list, position = ""] = path.split(".");
  const level = list === "take_up" ? document.shape.take_up[Number(position)]?.level_mm : undefined;
  return level === undefined ? path : levelWords(level, text);
}

/** A depth without its sign: the suggestion says whether it presses in or gives space. */
function amountWords(value: number, path: string, text: Write): string {
  if (path.endsWith("_percent")) {
    return text(value, "%", fittingDigits(value));
  }
  const shown = path.endsWith(".depth_mm") ? Math.abs(value) : value;
  return text(shown, path.endsWith("_deg") ? "deg" : "mm");
}
