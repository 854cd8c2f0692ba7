import type { Check } from "../../api/results";
import { BasisBadge } from "../../components/basis-badge";
import { Said } from "../../components/said";
import { sharedDigits } from "../../units/display";
import { useUnits } from "../../units/units-context";
import { conditionOf } from "../../words/check-words";
import { named } from "../../words/words";

/**
 * Checks of demand against capacity, the smallest margin first. What is not established says so and
 * is never a pass; nor is a reference load, or a figure that nobody stated for the part in hand.
 */
export function CheckList({
  checks,
  reference = false,
}: {
  checks: readonly Check[];
  reference?: boolean;
}) {
  if (checks.length === 0) {
    return <p className="quiet">Nothing is checked here.</p>;
  }
  return (
    <ul className="checks">
      {smallestMarginFirst(checks).map((check) => (
        <CheckItem
          key={`${check.name} ${check.place} ${conditionOf(check)}`}
          check={check}
          reference={reference}
        />
      ))}
    </ul>
  );
}

function CheckItem({ check, reference }: { check: Check; reference: boolean }) {
  const { text } = useUnits();
  const digits = sharedDigits([check.demand, check.capacity]);
  const write = (value: number): string => text(value, check.unit, digits);
  const condition = conditionOf(check);
  const verdict = verdictOf(check, reference);
  return (
    <li className={`check check-${verdict.kind}`}>
      <div className="check-head">
        <h4>
          {named(check.name)}
          {check.place === "" ? null : (
            <span className="quiet">
              , <Said text={check.place} />
            </span>
          )}
          {condition === "" ? null : <span className="quiet">, {condition}</span>}
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
      <p>
        <Said text={check.text} />
      </p>
      {check.capacity_source === null ? null : (
        <p className="source">Capacity: {check.capacity_source}</p>
      )}
    </li>
  );
}

function smallestMarginFirst(checks: readonly Check[]): Check[] {
  const share = ({ margin, required_margin }: Check): number =>
    margin === null ? 0 : margin / required_margin;
  return [...checks].sort((a, b) => share(a) - share(b));
}

function verdictOf(check: Check, reference: boolean): { kind: string; words: string } {
  if (check.demand === null || check.capacity === null || check.margin === null) {
    return { kind: "unknown", words: "Not established" };
  }
  const met = check.margin >= check.required_margin;
  if (reference) {
    return met
      ? { kind: "reached", words: "Reaches the reference" }
      : { kind: "short", words: "Short of the reference" };
  }
  if (check.capacity_basis !== "given" && check.capacity_basis !== "measured") {
    return met
      ? { kind: "reached", words: "Met, on defaults" }
      : { kind: "short", words: "Not met, on defaults" };
  }
  return met ? { kind: "holds", words: "Margin met" } : { kind: "fails", words: "Margin not met" };
}
