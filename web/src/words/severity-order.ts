import type { Finding, Severity } from "../api/results";

/** The service's own order of severities, gravest first. */
export const SEVERITIES: readonly Severity[] = ["stop", "not established", "warning", "note", "ok"];

/** Findings by severity; those of equal weight stay in the order in which they came. */
export function worstFirst(findings: readonly Finding[]): Finding[] {
  return [...findings].sort(
    (a, b) => SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity),
  );
}
