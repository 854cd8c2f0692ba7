import { useState } from "react";
import type { Fitting } from "../../api/document";
import { sentenceOf } from "../../api/errors";
import type { Suggestion } from "../../api/results";
import { useCaseState, useDocument, useSession } from "../../case/case-context";
import { Said } from "../../components/said";
import { isCurrent } from "../../state/case-state";
import type { Section } from "../../state/touched";
import { today } from "../../units/today";
import { useUnits } from "../../units/units-context";
import { type Moved, standingOf, withoutSuggestion, withSuggestion } from "./apply-edits";
import { appliedFrom, movedWords, pressWords } from "./moved-words";

interface TryProps {
  readonly suggestion: Suggestion;
  readonly cause: string;
  readonly fitting: Fitting;
  /** Position of the fitting. */
  readonly number: number;
}

/** One click to a new revision with the suggested change, once; by hand where no plan can hold it. */
export function TrySuggestion({ suggestion, cause, fitting, number }: TryProps) {
  const session = useSession();
  const document = useDocument();
  const state = useCaseState();
  const { text } = useUnits();
  const [problem, setProblem] = useState<string | null>(null);
  const settled = isCurrent(state) && state.conflict === null && state.stored !== null;
  const change = (how: Parameters<typeof session.edit>[1]): void => {
    try {
      session.edit(sectionOf(suggestion), how);
      setProblem(null);
    } catch (error) {
      setProblem(sentenceOf(error));
    }
  };
  if (suggestion.edits.length === 0) {
    return (
      <p className="try">
        To try: <Said text={suggestion.text} />.
      </p>
    );
  }
  const standing = standingOf(document, suggestion, fitting.applied);
  switch (standing.kind) {
    case "applied": {
      const { applied, changed } = standing;
      return (
        <div className="try">
          <span>
            <b>Applied in revision {applied.revision}</b> on {applied.date}:{" "}
            <Said text={applied.text} />.{appliedFrom(applied, suggestion, text)}
            {changed ? " The plan was changed there since; change it back in its stage." : ""}
          </span>
          {changed ? null : (
            <button
              type="button"
              onClick={() => change((now) => withoutSuggestion(now, number, applied))}
            >
              Take it back
            </button>
          )}
          {problem === null ? null : <span className="problem">{problem}</span>}
        </div>
      );
    }
    case "elsewhere":
      return (
        <p className="try">
          <span>
            To try: <Said text={suggestion.text} />. The plan has other levels of take-up now than
            what was worn: change them in Shape.
          </span>
        </p>
      );
    case "held":
      return (
        <p className="try">
          To try: <Said text={suggestion.text} />.{" "}
          <span className="quiet">The plan holds this already.</span>
        </p>
      );
    case "beyond":
      return (
        <p className="try">
          <span>
            To try: <Said text={suggestion.text} />.{" "}
            <MovedSince moved={standing.moved} suggestion={suggestion} /> The plan has gone further
            that way already: make it, and see what it does worn.
          </span>
        </p>
      );
    case "open":
      return (
        <div className="try">
          <span>
            To try: <Said text={suggestion.text} />.{" "}
            <MovedSince moved={standing.moved} suggestion={suggestion} />
          </span>
          <button
            type="button"
            disabled={!settled}
            onClick={() =>
              change((now) =>
                withSuggestion(now, number, suggestion, {
                  cause,
                  date: today(),
                  revision: (state.stored?.revision ?? 0) + 1,
                }),
              )
            }
          >
            {pressWords(suggestion, standing.moved, text)}
          </button>
          {problem === null ? null : <span className="problem">{problem}</span>}
        </div>
      );
  }
}

/** The first stage that the edits touch. */
function sectionOf(suggestion: Suggestion): Section {
  return suggestion.edits.some(({ path }) => path.startsWith("shape.")) ? "shape" : "align";
}

interface MovedProps {
  readonly moved: readonly Moved[];
  readonly suggestion: Suggestion;
}

/** From what the step counts where the plan that stands is another than what was worn. */
function MovedSince({ moved, suggestion }: MovedProps) {
  const document = useDocument();
  const { text } = useUnits();
  if (moved.length === 0) {
    return null;
  }
  const several = suggestion.edits.length > 1;
  return (
    <b>
      It counts from what was worn:{" "}
      {moved.map((one) => movedWords(one, document, several, text)).join("; ")}.
    </b>
  );
}
