import type { Finding } from "../api/results";
import { sharedDigits } from "../units/display";
import { useUnits } from "../units/units-context";
import { Acceptance } from "./acceptance";
import { BasisBadge } from "./basis-badge";
import { Remedy } from "./remedy";
import { FindingText } from "./said";
import { SeverityMark } from "./severity-mark";

/** One finding in a panel: its weight, what it says, what would change it, and what it rests on. */
export function FindingItem({ finding, onSaid }: { finding: Finding; onSaid: () => void }) {
  return (
    <li className="finding">
      <SeverityMark severity={finding.severity} />
      <p className="finding-text">
        <FindingText finding={finding} />
      </p>
      <Remedy finding={finding} />
      <div className="finding-facts">
        <FindingFacts finding={finding} />
        <Acceptance finding={finding} onSaid={onSaid} />
      </div>
    </li>
  );
}

/** Value and limit, what they rest on, and where the limit comes from. */
export function FindingFacts({ finding }: { finding: Finding }) {
  const { value, limit, unit, basis, source } = finding;
  const digits = sharedDigits([value, limit]);
  return (
    <>
      <FoundValue name="Value" number={value} unit={unit} digits={digits} />
      <FoundValue name={limitName(finding)} number={limit} unit={unit} digits={digits} />
      <BasisBadge basis={basis} />
      {source === null ? null : <span className="source">{source}</span>}
    </>
  );
}

/** What a value is held against: a limit, or only what is usual. */
export function limitName({ at_least, usual }: Pick<Finding, "at_least" | "usual">): string {
  if (usual) {
    return at_least ? "Usual from" : "Usual up to";
  }
  return at_least ? "At least" : "Limit";
}

interface FoundValueProps {
  readonly name: string;
  readonly number: number | null;
  readonly unit: string;
  readonly digits: number;
}

function FoundValue({ name, number, unit, digits }: FoundValueProps) {
  const { text } = useUnits();
  if (number === null) {
    return null;
  }
  return (
    <span className="found">
      {name} <b>{text(number, unit, digits)}</b>
    </span>
  );
}

/** A key for a list of findings: the same code may stand for several places. */
export function findingKey(finding: Finding): string {
  return `${finding.stage} ${finding.code} ${finding.where} ${finding.text}`;
}
