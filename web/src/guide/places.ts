/** Where the guide's places lie: each step at its stage, the end at the last one. */

import { caseAddress } from "../browser/route";
import { END, STEPS } from "./steps";

export function guideAddress(caseId: string, place: string): string {
  const step = STEPS.find(({ id }) => id === place) ?? STEPS.at(place === END ? -1 : 0);
  return caseAddress(caseId, step?.stage ?? "assess", place);
}

/** The first place of the guide. */
export function guideStart(caseId: string): string {
  return guideAddress(caseId, STEPS[0]?.id ?? END);
}
