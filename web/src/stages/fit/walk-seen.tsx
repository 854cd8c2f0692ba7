import type { Fitting } from "../../api/document";
import type { FittingReading } from "../../api/results";
import { useListFocus } from "../../components/use-list-focus";
import { named } from "../../words/words";
import { ObservationList } from "../../workshop/observations";
import { TrySuggestion } from "./try-suggestion";

interface WalkSeenProps {
  readonly fitting: Fitting;
  readonly number: number;
  /** What the leg that was worn says to it; undefined while nothing is read. */
  readonly reading: FittingReading | undefined;
  readonly onChange: (part: Partial<Fitting>) => void;
}

/** What was seen of the walk at this fitting, answered as in Align by the leg that was worn. */
export function WalkSeen({ fitting, number, reading, onChange }: WalkSeenProps) {
  const walk = reading?.walk ?? [];
  const { heading, removing } = useListFocus(fitting.observed.length);
  return (
    <>
      <h4 {...heading}>Seen of the walk</h4>
      <ObservationList
        observed={fitting.observed}
        removing={removing}
        answers={walk.map(({ answer }) => answer)}
        path={`fit.fittings.${number.toString()}.observed`}
        onChange={(observed) => onChange({ observed })}
        after={(what) => {
          const suggestion = walk.find(({ answer }) => answer.what === what)?.suggestion ?? null;
          return suggestion === null ? null : (
            <TrySuggestion
              suggestion={suggestion}
              cause={named(what)}
              fitting={fitting}
              number={number}
            />
          );
        }}
      />
    </>
  );
}
