import type { Finding, Severity } from "../api/results";

/** The service's own order of severities, gravest first; within one, the service orders too. */
export const SEVERITIES: readonly Severity[] = ["stop", "not established", "warning", "note", "ok"];

/** What is open until it is answered, or accepted with a reason. */
export const TO_ANSWER: readonly Severity[] = ["stop", "not established", "warning"];

export function isOpen(finding: Finding): boolean {
  return TO_ANSWER.includes(finding.severity) && finding.accepted === "";
}
