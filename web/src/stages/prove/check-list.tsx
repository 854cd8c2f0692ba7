import type { Check } from "../../api/results";
import { BasisBadge } from "../../components/basis-badge";
import { fittingDigits } from "../../units/display";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";

/** Checks of demand against capacity. What is not established says so and is never a pass. */
export function CheckList({ checks }: { checks: readonly Check[] }) {
  if (checks.length === 0) {
    return <p className="quiet">Nothing is checked here.</p>;
  }
  return (
    <ul className="checks">
      {checks.map((check) => (
        <CheckItem key={`${check.name} ${check.place}`} check={check} />
      ))}
    </ul>
  );
}

function CheckItem({ check }: { check: Check }) {
  const { text } = useUnits();
  const write = (value: number): string => text(value, check.unit, fittingDigits(value));
  const verdict = verdictOf(check);
  return (
    <li className={`check check-${verdict.kind}`}>
      <div className="check-head">
        <h4>
          {named(check.name)}
          {check.place === "" ? null : <span className="quiet">, {check.place}</span>}
        </h4>
        <strong className="verdict">{verdict.words}</strong>
      </div>
      <dl className="check-figures">
        <div>
          <dt>Demand</dt>
          <dd>{check.demand === null ? "not established" : write(check.demand)}</dd>
        </div>
        <div>
          <dt>Capacity</dt>
          <dd>
            {check.capacity === null ? "not established" : write(check.capacity)}{" "}
            {check.capacity === null ? null : <BasisBadge basis={check.capacity_basis} />}
          </dd>
        </div>
        <div>
          <dt>Margin</dt>
          <dd>
            {check.margin === null ? "–" : check.margin.toFixed(2)} of{" "}
            {check.required_margin.toFixed(2)} needed
          </dd>
        </div>
      </dl>
      <p>{check.text}</p>
      {check.capacity_source === null ? null : (
        <p className="source">Capacity: {check.capacity_source}</p>
      )}
    </li>
  );
}

function verdictOf(check: Check): { kind: string; words: string } {
  if (check.demand === null || check.capacity === null || check.margin === null) {
    return { kind: "unknown", words: "Not established" };
  }
  return check.margin >= check.required_margin
    ? { kind: "holds", words: "Margin met" }
    : { kind: "fails", words: "Margin not met" };
}
