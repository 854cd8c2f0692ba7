import type { Basis } from "../api/results";
import { BASIS_WORDS } from "../words/words";

/** What a value rests on. Guesses and defaults look unlike what was measured or given. */
export function BasisBadge({ basis }: { basis: Basis }) {
  return <span className={`basis basis-${basis}`}>{BASIS_WORDS[basis]}</span>;
}
