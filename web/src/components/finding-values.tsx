import type { Finding } from "../api/results";
import { fittingDigits } from "../units/display";
import { useUnits } from "../units/units-context";

/** The value that was found, in the units shown; "–" where there is none. */
export function FoundValue({ finding, of }: { finding: Finding; of: "value" | "limit" }) {
  const { text } = useUnits();
  const number = finding[of];
  if (number === null) {
    return <span className="none">–</span>;
  }
  return <span className="value">{text(number, finding.unit, fittingDigits(number))}</span>;
}
