/** Suggestions in the plan: what stands there, putting one in, taking it back. Pure. */

import type { AppliedSuggestion, CaseDocument } from "../../api/document";
import type { Suggestion } from "../../api/results";

type Edits = readonly { readonly path: string; readonly value: number | null }[];

/** How the plan that stands is to a suggestion. */
export type Standing =
  /** The fitting remembers that it, or another for the same places, was put in. */
  | { readonly kind: "applied"; readonly applied: AppliedSuggestion; readonly changed: boolean }
  /** The plan holds just that, from elsewhere. */
  | { readonly kind: "held" }
  /** `moved`: what was read had another value there than the plan has now. */
  | { readonly kind: "open"; readonly moved: readonly number[] };

export function standingOf(
  document: CaseDocument,
  suggestion: Suggestion,
  applied: readonly AppliedSuggestion[],
): Standing {
  const touches = (one: AppliedSuggestion): boolean =>
    suggestion.edits.every(({ path }) => one.edits.some((edit) => edit.path === path));
  const taken = applied.find(touches);
  if (taken !== undefined) {
    const changed = taken.edits.some(({ path, after }) => valueAt(document, path) !== after);
    return { kind: "applied", applied: taken, changed };
  }
  const now = suggestion.edits.map(({ path }) => valueAt(document, path));
  if (suggestion.edits.every(({ value }, i) => now[i] === value)) {
    return { kind: "held" };
  }
  const moved = now.filter((value, i) => {
    const was = suggestion.edits[i]?.was ?? null;
    return value !== null && was !== null && value !== was;
  });
  return { kind: "open", moved: moved.filter((value) => value !== null) };
}

/** The document with a suggestion in its plan, and the fitting that remembers it. */
export function withSuggestion(
  document: CaseDocument,
  fitting: number,
  suggestion: Suggestion,
  said: Pick<AppliedSuggestion, "cause" | "date" | "revision">,
): CaseDocument {
  const edits = suggestion.edits.map(({ path, value }) => ({
    path,
    before: valueAt(document, path),
    after: value,
  }));
  const entry: AppliedSuggestion = { ...said, text: suggestion.text, edits };
  return withApplied(withEdits(document, suggestion.edits), fitting, (applied) => [
    ...applied,
    entry,
  ]);
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
