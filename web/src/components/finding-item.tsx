import type { ReactNode } from "react";
import type { Finding } from "../api/results";
import { fittingDigits } from "../units/display";
import { useUnits } from "../units/units-context";
import { Acceptance } from "./acceptance";
import { BasisBadge } from "./basis-badge";
import { SeverityMark } from "./severity-mark";

interface FindingItemProps {
  readonly finding: Finding;
  /** Shown beside the severity, where findings of several stages stand together. */
  readonly stage?: ReactNode;
  readonly stale?: boolean;
}

/** One finding: its weight, what it says, value and limit, what it rests on, the limit's source. */
export function FindingItem({ finding, stage, stale = false }: FindingItemProps) {
  return (
    <li className={stale ? "finding stale" : "finding"}>
      <div className="finding-weight">
        <SeverityMark severity={finding.severity} words={stage !== undefined} />
        {stage}
      </div>
      <p className="finding-text">{finding.text}</p>
      <div className="finding-facts">
        <FoundValue name="Value" number={finding.value} unit={finding.unit} />
        <FoundValue name="Limit" number={finding.limit} unit={finding.unit} />
        <BasisBadge basis={finding.basis} />
        {finding.source === null ? null : <span className="source">{finding.source}</span>}
        <Acceptance finding={finding} />
      </div>
    </li>
  );
}

interface FoundValueProps {
  readonly name: string;
  readonly number: number | null;
  readonly unit: string;
}

function FoundValue({ name, number, unit }: FoundValueProps) {
  const { text } = useUnits();
  if (number === null) {
    return null;
  }
  return (
    <span className="found">
      {name} <b>{text(number, unit, fittingDigits(number))}</b>
    </span>
  );
}

/** A key for a list of findings: the same code may stand for several places. */
export function findingKey(finding: Finding): string {
  return `${finding.stage} ${finding.code} ${finding.where} ${finding.text}`;
}
