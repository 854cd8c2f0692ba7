import { useState } from "react";
import { sentenceOf } from "../../api/errors";
import type { ComplaintAnswer, FitCause, FitVerdict, Suggestion } from "../../api/results";
import { BasisBadge } from "../../components/basis-badge";
import { Block } from "../../components/block";
import { named } from "../../words/words";
import { useSession } from "../../workshop/case-context";
import { withEdits } from "./apply-edits";

const VERDICTS: Readonly<Record<FitVerdict, string>> = {
  fits: "Fits",
  unclear: "Unclear",
  "speaks against": "Speaks against",
  "not computed": "Not computed",
};

/** What the computed picture says to each complaint of the last fitting. */
export function Answers(props: { answers: readonly ComplaintAnswer[]; last: number }) {
  const recent = props.answers.filter((answer) => answer.fitting === props.last);
  if (recent.length === 0) {
    return null;
  }
  return (
    <Block title="What may be behind it">
      <p className="remark">
        Usual causes as taught, each held against the picture of the case as it stands. The picture
        ranks places; ask, look and palpate before changing anything.
      </p>
      {recent.map((answer) => (
        <section key={answer.complaint} className="answer">
          <h4>
            {named(answer.sign)}, {answer.place}, {answer.phase}
          </h4>
          <ul>
            {answer.causes.map((cause) => (
              <CauseItem key={cause.cause} cause={cause} />
            ))}
          </ul>
        </section>
      ))}
    </Block>
  );
}

function CauseItem({ cause }: { cause: FitCause }) {
  const kind = cause.verdict.replaceAll(" ", "-");
  return (
    <li className={`cause cause-${kind}`}>
      <div className="cause-head">
        <b>{named(cause.cause)}</b>
        <span className="verdict">{VERDICTS[cause.verdict]}</span>
      </div>
      <p>
        {cause.says} <BasisBadge basis={cause.basis} />
      </p>
      {cause.suggestion === null || cause.verdict === "speaks against" ? null : (
        <Try suggestion={cause.suggestion} />
      )}
      <p className="source">{cause.source}</p>
    </li>
  );
}

/** One click to a new revision with the suggested change; by hand where the plan cannot hold it. */
function Try({ suggestion }: { suggestion: Suggestion }) {
  const session = useSession();
  const [problem, setProblem] = useState<string | null>(null);
  const apply = (): void => {
    try {
      const first = suggestion.edits[0]?.path.split(".")[0];
      session.edit(first === "align" ? "align" : "shape", (document) =>
        withEdits(document, suggestion.edits),
      );
      setProblem(null);
    } catch (error) {
      setProblem(sentenceOf(error));
    }
  };
  return (
    <div className="try">
      <span>To try: {suggestion.text}.</span>
      {suggestion.edits.length === 0 ? null : (
        <button type="button" onClick={apply}>
          Change the plan so
        </button>
      )}
      {problem === null ? null : <span className="problem">{problem}</span>}
    </div>
  );
}
