import type { Fitting } from "../../api/document";
import { counted } from "../../words/words";

interface FittingListProps {
  readonly fittings: readonly Fitting[];
  readonly open: number;
  readonly onOpen: (number: number) => void;
}

/** All fittings, the newest first; any can be opened. */
export function FittingList({ fittings, open, onOpen }: FittingListProps) {
  const numbered = fittings.map((fitting, number) => ({ fitting, number })).reverse();
  return (
    <ol className="fittings" reversed>
      {numbered.map(({ fitting, number }) => (
        <li key={number}>
          <button type="button" aria-pressed={number === open} onClick={() => onOpen(number)}>
            <b>{fitting.date}</b> <span>{factsOf(fitting)}</span>
          </button>
        </li>
      ))}
    </ol>
  );
}

function factsOf({ revision, comfort, complaints }: Fitting): string {
  const worn = revision === null ? "worn not stated" : `revision ${revision.toString()}`;
  const score = comfort === null ? "comfort not asked" : `comfort ${comfort.toString()}`;
  return [worn, score, counted(complaints.length, "complaint")].join(", ");
}
