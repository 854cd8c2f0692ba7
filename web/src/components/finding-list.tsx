import type { Finding } from "../api/results";
import { worstFirst } from "../words/severity-order";
import { FindingItem, findingKey } from "./finding-item";

/** Findings of one stage inside its panel, worst first. */
export function FindingList({ findings }: { findings: readonly Finding[] }) {
  if (findings.length === 0) {
    return null;
  }
  return (
    <section className="block" aria-label="Findings of this stage">
      <h3>Findings here</h3>
      <ul className="findings-here">
        {worstFirst(findings).map((finding) => (
          <FindingItem key={findingKey(finding)} finding={finding} />
        ))}
      </ul>
    </section>
  );
}
