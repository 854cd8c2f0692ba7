/**
 * What was sent to the service and never answered: it may have been stored all the same, and is
 * then no change of somebody else's.
 */

import type { CaseDocument } from "../api/document";
import { changedPlace } from "./history";
import type { Pick } from "./unsaved";

export type Unanswered =
  | { readonly kind: "document"; readonly document: CaseDocument }
  | { readonly kind: "pick"; readonly pick: Pick };

/** The one of these that made the case that stands of the one before it; null when none did. */
export function storedUnanswered(
  sent: readonly Unanswered[],
  before: CaseDocument,
  standing: CaseDocument,
): Unanswered | null {
  return sent.find((one) => made(one, before, standing)) ?? null;
}

function made(one: Unanswered, before: CaseDocument, standing: CaseDocument): boolean {
  if (one.kind === "document") {
    return changedPlace(one.document, standing) === null;
  }
  // Where on the skin the service put it is not known here: everything but its place is the same.
  const { name } = one.pick;
  return changedPlace(withoutLandmark(before, name), withoutLandmark(standing, name)) === null;
}

function withoutLandmark(document: CaseDocument, name: string): CaseDocument {
  const { landmarks } = document.capture;
  const points = Object.fromEntries(
    Object.entries(landmarks.points).filter(([key]) => key !== name),
  );
  const guessed = landmarks.guessed.filter((key) => key !== name);
  return {
    ...document,
    capture: { ...document.capture, landmarks: { ...landmarks, points, guessed } },
  };
}
