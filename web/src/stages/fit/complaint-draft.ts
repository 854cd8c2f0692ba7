/** A complaint that is not told whole yet: nothing of it is guessed, and nothing stored. Pure. */

import type { Complaint, FitSign } from "../../api/document";
import type { ComplaintDraft } from "../../case/view-settings";

const WHOLE_SOCKET: ReadonlySet<FitSign> = new Set([
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

/** Whether a sign is one of the whole socket, which needs no place. */
export function isOfWhole(sign: FitSign | null): boolean {
  return sign !== null && WHOLE_SOCKET.has(sign);
}

function isPlaced({ sign, landmark, point, whole }: ComplaintDraft): boolean {
  return landmark !== null || point !== null || (whole && isOfWhole(sign));
}

/** The complaint, once it says what, when and where; null until then. */
export function toldWhole(draft: ComplaintDraft): Complaint | null {
  const { sign, phase, landmark, point } = draft;
  return sign === null || phase === null || !isPlaced(draft)
    ? null
    : { sign, phase, landmark, point, severity: null, note: "" };
}

/** What is still to be told, as a sentence. */
export function missingOf(draft: ComplaintDraft): string {
  const parts = [
    ...(draft.sign === null ? ["what"] : []),
    ...(draft.phase === null ? ["when"] : []),
    ...(isPlaced(draft) ? [] : ["where"]),
  ];
  const list = parts.length > 1 ? `${parts.slice(0, -1).join(", ")} and ${parts.at(-1)}` : parts[0];
  return list === undefined ? "" : `Say ${list}: then it is stored and held against the picture.`;
}
