/** Which findings the strip shows, and in which groups; the order is the service's own. */

import type { Finding, Severity } from "../api/results";
import { isOpen, SEVERITIES, TO_ANSWER } from "../words/severity-order";

/** What a finding is counted under: its weight, or that it was accepted. */
export type Kind = Severity | "accepted";

export const KINDS: readonly Kind[] = [...TO_ANSWER, "accepted", ...SEVERITIES.slice(3)];

export interface Filter {
  /** Nothing chosen shows every kind. */
  readonly kinds: ReadonlySet<Kind>;
  /** null shows every stage. */
  readonly stage: string | null;
}

export const ALL: Filter = { kinds: new Set(), stage: null };

export function kindOf(finding: Finding): Kind {
  const answered = TO_ANSWER.includes(finding.severity) && !isOpen(finding);
  return answered ? "accepted" : finding.severity;
}

export function countOf(findings: readonly Finding[], kind: Kind): number {
  return findings.filter((finding) => kindOf(finding) === kind).length;
}

export function toggled(filter: Filter, kind: Kind): Filter {
  const kinds = new Set(filter.kinds);
  if (!kinds.delete(kind)) {
    kinds.add(kind);
  }
  return { ...filter, kinds };
}

export function shownOf(findings: readonly Finding[], { kinds, stage }: Filter): Finding[] {
  return findings.filter(
    (finding) =>
      (kinds.size === 0 || kinds.has(kindOf(finding))) &&
      (stage === null || finding.stage === stage),
  );
}

export interface Group {
  readonly stage: string;
  readonly findings: readonly Finding[];
}

/** Findings by stage: the stage with the worst finding first, each group in the order it came. */
export function byStage(findings: readonly Finding[]): Group[] {
  const groups = new Map<string, Finding[]>();
  for (const finding of findings) {
    const group = groups.get(finding.stage);
    if (group === undefined) {
      groups.set(finding.stage, [finding]);
    } else {
      group.push(finding);
    }
  }
  return [...groups].map(([stage, group]) => ({ stage, findings: group }));
}
