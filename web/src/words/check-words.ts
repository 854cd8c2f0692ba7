import type { Check } from "../api/results";

const CONDITION = /\bP\d condition (I{1,2})\b/;

/** The loading condition that a check is made under, as it says itself: "P5 condition II"; or "". */
export function conditionOf({ text }: Pick<Check, "text">): string {
  return CONDITION.exec(text)?.[0] ?? "";
}

/** Which of the two conditions it is, whatever the load level: "II"; "" where there is none. */
export function conditionNumber({ text }: Pick<Check, "text">): string {
  return CONDITION.exec(text)?.[1] ?? "";
}
