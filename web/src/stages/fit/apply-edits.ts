/** Suggestions in the plan: what stands there, putting one in, taking it back. Pure. */

import type { AppliedSuggestion, CaseDocument } from "../../api/document";
import type { Suggestion } from "../../api/results";

type Edits = readonly { readonly path: string; readonly value: number | null }[];

/** How the plan that stands is to a suggestion. */
export type Standing =
  /** The fitting remembers that it, or another for the same places, was put in. */
  | { readonly kind: "applied"; readonly applied: AppliedSuggestion; readonly changed: boolean }
  /** The plan has other levels of take-up than what was worn: a position there is another place. */
  | { readonly kind: "elsewhere" }
  /** The plan holds just that, from elsewhere. */
  | { readonly kind: "held" }
  /** The plan went that way already, and further: to take it would lead back. */
  | { readonly kind: "beyond"; readonly moved: readonly Moved[] }
  | { readonly kind: "open"; readonly moved: readonly Moved[] };

/** An entry that had another value in what was worn than the plan has now. */
export interface Moved {
  readonly path: string;
  readonly was: number;
  readonly now: number;
  readonly value: number;
}

export function standingOf(
  document: CaseDocument,
  suggestion: Suggestion,
  applied: readonly AppliedSuggestion[],
): Standing {
  const touches = (one: AppliedSuggestion): boolean =>
    suggestion.edits.every(({ path }) => one.edits.some((made) => made.path === path));
  const taken = applied.findLast(touches);
  if (taken !== undefined && !goesBack(taken, suggestion)) {
    const changed = taken.edits.some(({ path, after }) => valueAt(document, path) !== after);
    return { kind: "applied", applied: taken, changed };
  }
  if (!suggestion.edits.every((edit) => isSamePlace(document, edit))) {
    return { kind: "elsewhere" };
  }
  const left = suggestion.edits.filter(({ path, value }) => valueAt(document, path) !== value);
  if (left.length === 0) {
    return { kind: "held" };
  }
  const moved = left.flatMap((edit) => movedSince(document, edit) ?? []);
  const passed = moved.filter(isPassed).length;
  return { kind: passed === left.length ? "beyond" : "open", moved };
}

/** Whether an entry is to go down now that went up, or up that went down. */
function goesBack(applied: AppliedSuggestion, suggestion: Suggestion): boolean {
  return suggestion.edits.some(({ path, was, value }) =>
    applied.edits.some(
      ({ path: place, before, after }) =>
        place === path && before !== null && was !== null && (after - before) * (value - was) < 0,
    ),
  );
}

function isSamePlace(document: CaseDocument, edit: Suggestion["edits"][number]): boolean {
  const { path, level_mm } = edit;
  return level_mm === null || valueAt(document, path.replace(/\w+$/, "level_mm")) === level_mm;
}

function movedSince(document: CaseDocument, edit: Suggestion["edits"][number]): Moved | null {
  const { path, was, value } = edit;
  const now = valueAt(document, path);
  return was === null || now === null || now === was ? null : { path, was, now, value };
}

/** Whether an entry went the suggested way further than the suggestion does. */
export function isPassed({ was, now, value }: Moved): boolean {
  return (now - value) * (value - was) > 0;
}

/**
 * The document with a suggestion in its plan, and the fitting that remembers it. An entry that went
 * further that way since it was worn stays as it is, and is remembered as seen to.
 */
export function withSuggestion(
  document: CaseDocument,
  fitting: number,
  suggestion: Suggestion,
  said: Pick<AppliedSuggestion, "cause" | "date" | "revision">,
): CaseDocument {
  const edits = suggestion.edits.map((edit) => {
    const moved = movedSince(document, edit);
    const after = moved !== null && isPassed(moved) ? moved.now : edit.value;
    return { path: edit.path, before: valueAt(document, edit.path), after };
  });
  const entry: AppliedSuggestion = { ...said, text: suggestion.text, edits };
  const changes = edits.map(({ path, after }) => ({ path, value: after }));
  return withApplied(withEdits(document, changes), fitting, (applied) => [...applied, entry]);
}

/** The document as it was before a suggestion, which the fitting forgets. */
export function withoutSuggestion(
  document: CaseDocument,
  fitting: number,
  taken: AppliedSuggestion,
): CaseDocument {
  const back = taken.edits.map(({ path, before }) => ({ path, value: before }));
  return withApplied(withEdits(document, back), fitting, (applied) =>
    applied.filter((one) => one !== taken),
  );
}

function withApplied(
  document: CaseDocument,
  fitting: number,
  change: (applied: readonly AppliedSuggestion[]) => readonly AppliedSuggestion[],
): CaseDocument {
  const fittings = document.fit.fittings.map((one, i) =>
    i === fitting ? { ...one, applied: change(one.applied) } : one,
  );
  return { ...document, fit: { ...document.fit, fittings } };
}

export function withEdits(document: CaseDocument, edits: Edits): CaseDocument {
  return edits.reduce<CaseDocument>(
    (now, { path, value }) => changed(now, path.split("."), value) as CaseDocument,
    document,
  );
}

/** The number at a path; null where there is none, or no such place. */
export function valueAt(document: CaseDocument, path: string): number | null {
  const found = path.split(".").reduce<unknown>((tree, head) => {
    if (Array.isArray(tree)) {
      return tree.find((item: unknown, i) => isNamed(item, head, i));
    }
    return isTree(tree) ? tree[head] : undefined;
  }, document);
  return typeof found === "number" ? found : null;
}

/** A copy of a tree with one leaf changed; what is not on the way is shared, not copied. */
function changed(tree: unknown, path: readonly string[], value: unknown): unknown {
  const [head, ...rest] = path;
  if (head === undefined) {
    return value;
  }
  if (Array.isArray(tree) && tree.some((item: unknown, i) => isNamed(item, head, i))) {
    return tree.map((item: unknown, i) =>
      isNamed(item, head, i) ? changed(item, rest, value) : item,
    );
  }
  if (isTree(tree) && !Array.isArray(tree) && head in tree) {
    return { ...tree, [head]: changed(tree[head], rest, value) };
  }
  throw new Error(`The case has no ${path.join(".")}.`);
}

/** An item of a list by its name, or by its position where it has none. */
function isNamed(item: unknown, head: string, position: number): boolean {
  return isTree(item) && typeof item.name === "string"
    ? item.name === head
    : position.toString() === head;
}

function isTree(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null;
}
