/** A document with the edits of a suggestion. Pure. */

import type { CaseDocument } from "../../api/document";
import type { Suggestion } from "../../api/results";

export function withEdits(document: CaseDocument, edits: Suggestion["edits"]): CaseDocument {
  return edits.reduce<CaseDocument>(
    (now, { path, value }) => changed(now, path.split("."), value) as CaseDocument,
    document,
  );
}

/** A copy of a tree with one leaf changed; what is not on the way is shared, not copied. */
function changed(tree: unknown, path: readonly string[], value: unknown): unknown {
  const [head, ...rest] = path;
  if (head === undefined) {
    return value;
  }
  if (Array.isArray(tree)) {
    return tree.map((item: unknown, i) =>
      i.toString() === head ? changed(item, rest, value) : item,
    );
  }
  if (typeof tree === "object" && tree !== null && head in tree) {
    return { ...tree, [head]: changed((tree as Record<string, unknown>)[head], rest, value) };
  }
  throw new Error(`The case has no ${path.join(".")}.`);
}
