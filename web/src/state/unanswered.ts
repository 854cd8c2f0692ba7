/**
 * What was sent to the service and never answered: it may have been stored all the same, and is
 * then no change of somebody else's.
 */

import type { CaseDocument } from "../api/document";
import type { StoredCase } from "../api/replies";
import { changedPlace } from "./history";
import type { Pick } from "./unsaved";

export type Unanswered =
  | { readonly kind: "document"; readonly document: CaseDocument }
  | { readonly kind: "pick"; readonly pick: Pick };

/** The same with one more, once. */
export function withUnanswered(
  sent: readonly Unanswered[],
  one: Unanswered,
): readonly Unanswered[] {
  const known = sent.some((other) =>
    one.kind === "document"
      ? other.kind === "document" && other.document === one.document
      : other.kind === "pick" && other.pick === one.pick,
  );
  return known ? sent : [...sent, one];
}

/** Whether a case stands as one of the documents that were sent. */
export function standsAsSent(sent: readonly Unanswered[], standing: StoredCase): boolean {
  return sent.some(
    (one) => one.kind === "document" && changedPlace(one.document, standing.document) === null,
  );
}
