import { useState } from "react";
import type { Fitting } from "../../api/document";
import { sentenceOf } from "../../api/errors";
import type { Suggestion } from "../../api/results";
import { Said } from "../../components/said";
import { isCurrent, type Section } from "../../state/case-state";
import { today } from "../../units/today";
import { useUnits } from "../../units/units-context";
import { useCaseState, useDocument, useSession } from "../../workshop/case-context";
import { standingOf, withoutSuggestion, withSuggestion } from "./apply-edits";

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
            <Said text={applied.text} />.
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
    case "held":
      return (
        <p className="try">
          To try: <Said text={suggestion.text} />.{" "}
          <span className="quiet">The plan holds this already.</span>
        </p>
      );
    case "open":
      return (
        <div className="try">
          <span>
            To try: <Said text={suggestion.text} />.
            {standing.moved.length === 0 ? null : (
              <span className="quiet">
                {" "}
                The plan has{" "}
                {standing.moved.map((value) => amountWords(value, suggestion, text)).join(", ")}{" "}
                there now.
              </span>
            )}
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
            Change the plan so
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

/** A depth without its sign, as the suggestion beside it says it. */
function amountWords(
  value: number,
  suggestion: Suggestion,
  text: (value: number, unit: string) => string,
): string {
  if (suggestion.edits[0]?.path.endsWith(".depth_mm")) {
    return `${text(Math.abs(value), "mm")} ${value < 0 ? "pressed in" : "of space added"}`;
  }
  return text(value, unitOf(suggestion));
}

function unitOf({ edits }: Suggestion): string {
  const path = edits[0]?.path ?? "";
  return path.endsWith("_percent") ? "%" : path.endsWith("_deg") ? "deg" : "mm";
}
