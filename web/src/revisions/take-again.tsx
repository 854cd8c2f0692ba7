import { useState } from "react";
import { sentenceOf } from "../api/errors";
import type { RevisionPair } from "../browser/route";
import { useCaseState, useSession } from "../case/case-context";
import { useService } from "../case/service-context";
import { Block } from "../components/block";
import { isCurrent } from "../state/case-state";

/** An earlier revision of the two taken up again, as a new one on top of all others. */
export function TakeAgainBlock({ id, pair }: { id: string; pair: RevisionPair }) {
  const service = useService();
  const session = useSession();
  const state = useCaseState();
  const [asked, setAsked] = useState<number | null>(null);
  const [said, setSaid] = useState<string | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const standing = state.stored?.revision ?? null;
  const others = [...new Set([pair.before, pair.after])].filter((one) => one !== standing);

  const take = async (number: number, base: number): Promise<void> => {
    setAsked(null);
    setProblem(null);
    try {
      const { revision } = await service.takeAgain(id, number, base);
      setSaid(
        revision === base
          ? `Revision ${number.toString()} is what stands already; nothing was stored.`
          : `The plan of revision ${number.toString()} stands again, as revision ${revision.toString()}.`,
      );
      session.open();
    } catch (error) {
      setProblem(sentenceOf(error));
    }
  };

  if (standing === null || (others.length === 0 && said === null)) {
    return null;
  }
  return (
    <Block title="Going on from an earlier revision">
      <div className="take-again">
        {others.map((number) => (
          <button
            key={number}
            type="button"
            disabled={!isCurrent(state) || asked !== null}
            onClick={() => setAsked(number)}
          >
            Take revision {number} up again
          </button>
        ))}
      </div>
      {asked === null ? null : (
        <fieldset className="confirm-taking">
          <legend>Take revision {asked} up again?</legend>
          <p>
            Its plan is stored as revision {standing + 1} and stands from then on. Revision{" "}
            {standing} and all others stay as they are, and can be taken up again in the same way.
          </p>
          <button
            type="button"
            className="main-button"
            // biome-ignore lint/a11y/noAutofocus: the answer to what was just pressed
            autoFocus
            onClick={() => void take(asked, standing)}
          >
            Take it up
          </button>
          <button type="button" onClick={() => setAsked(null)}>
            Leave it
          </button>
        </fieldset>
      )}
      {said === null ? null : <p role="status">{said}</p>}
      {problem === null ? null : (
        <p className="refusal" role="alert">
          {problem}
        </p>
      )}
    </Block>
  );
}
