/** A complaint that is not told whole yet: nothing of it is guessed, and nothing stored. Pure. */

import type { Complaint, FitSign } from "../../api/document";
import type { ComplaintDraft } from "../../workshop/view-settings";

export const WHOLE_SOCKET: ReadonlySet<FitSign> = new Set([
  "loose",
  "socket_turns",
  "limb_moves_up_and_down",
]);

export const EMPTY_DRAFT: ComplaintDraft = {
  sign: null,
  phase: null,
  landmark: null,
  point: null,
  whole: false,
};

function ofWhole(sign: FitSign | null): boolean {
  return sign !== null && WHOLE_SOCKET.has(sign);
}

/** The complaint, once it says what, when and where; null until then. */
export function toldWhole({ sign, phase, whole, ...place }: ComplaintDraft): Complaint | null {
  if (sign === null || phase === null) {
    return null;
  }
  const placed = place.landmark !== null || place.point !== null;
  return placed || (whole && ofWhole(sign))
    ? { sign, phase, ...place, severity: null, note: "" }
    : null;
}

/** What is still to be told, as a sentence. */
export function missingOf({ sign, phase, landmark, point, whole }: ComplaintDraft): string {
  const placed = landmark !== null || point !== null || (whole && ofWhole(sign));
  const parts = [
    ...(sign === null ? ["what"] : []),
    ...(phase === null ? ["when"] : []),
    ...(placed ? [] : ["where"]),
  ];
  const list = parts.length > 1 ? `${parts.slice(0, -1).join(", ")} and ${parts.at(-1)}` : parts[0];
  return list === undefined ? "" : `Say ${list}: then it is stored and held against the picture.`;
}
