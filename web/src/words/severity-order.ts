import type { Finding, Severity } from "../api/results";

/** The service's own order of severities, gravest first; within one, the service orders too. */
export const SEVERITIES: readonly Severity[] = ["stop", "not established", "warning", "note", "ok"];

/** What is open until it is answered, or accepted with a reason. */
export const TO_ANSWER: readonly Severity[] = ["stop", "not established", "warning"];

export function isOpen(finding: Finding): boolean {
  return TO_ANSWER.includes(finding.severity) && finding.accepted === "";
}

/** How codes begin of what says whether the socket bears its load and stays on the limb. */
const HOLDING = /^(strength|suspension)-/;

/** Whether something open says that a part breaks or lets go below its demand. */
export function givesWay(finding: Finding): boolean {
  const { code, value, limit, margin } = finding;
  if (!isOpen(finding) || !HOLDING.test(code) || value === null || limit === null || limit <= 0) {
    return false;
  }
  return finding.at_least ? margin * limit > value : margin * Math.abs(value) > limit;
}
