import type { Finding } from "../api/results";
import { BasisBadge } from "./basis-badge";
import { FoundValue } from "./finding-values";
import { SeverityMark } from "./severity-mark";

/** Findings of one stage inside its panel, each with value, limit, basis and source. */
export function FindingList({ findings }: { findings: readonly Finding[] }) {
  if (findings.length === 0) {
    return null;
  }
  return (
    <section className="block" aria-label="Findings of this stage">
      <h3>Findings here</h3>
      <ul className="findings-here">
        {findings.map((finding) => (
          <li key={`${finding.code} ${finding.where} ${finding.text}`}>
            <SeverityMark severity={finding.severity} />
            <div>
              <p>{finding.text}</p>
              <p className="finding-facts">
                {finding.value === null ? null : (
                  <span>
                    Value <FoundValue finding={finding} of="value" />
                  </span>
                )}
                {finding.limit === null ? null : (
                  <span>
                    Limit <FoundValue finding={finding} of="limit" />
                  </span>
                )}
                <BasisBadge basis={finding.basis} />
                {finding.source === null ? null : <span>{finding.source}</span>}
              </p>
            </div>
          </li>
        ))}
      </ul>
    </section>
  );
}
