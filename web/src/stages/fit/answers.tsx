import type { Fitting } from "../../api/document";
import type { CauseReading, FitResult, FittingReading, FitVerdict } from "../../api/results";
import { BasisBadge } from "../../components/basis-badge";
import { Block } from "../../components/block";
import { Said } from "../../components/said";
import { named } from "../../words/words";
import { TrySuggestion } from "./try-suggestion";

const VERDICTS: Readonly<Record<FitVerdict, string>> = {
  fits: "Fits",
  unclear: "Unclear",
  "speaks against": "Speaks against",
  "not computed": "Not computed",
};

interface AnswersProps {
  readonly result: FitResult;
  readonly fitting: Fitting;
  /** Position of the fitting. */
  readonly number: number;
}

/** What the computed picture says to each complaint of one fitting. */
export function Answers({ result, fitting, number }: AnswersProps) {
  const answers = result.answers.filter((answer) => answer.fitting === number);
  const reading = result.readings.find((one) => one.fitting === number);
  if (answers.length === 0) {
    return null;
  }
  return (
    <Block title="What may be behind it">
      {reading === undefined ? null : <PictureWords reading={reading} />}
      <p className="remark">
        Usual causes as taught, each held against {heldAgainst(reading)}. It ranks places; ask, look
        and palpate before changing anything.
      </p>
      {answers.map((answer) => (
        <section key={answer.complaint} className="answer">
          <h4>
            {named(answer.sign)}, <Said text={answer.place} />, {answer.phase}
          </h4>
          <ul>
            {answer.causes.map((cause) => (
              <CauseItem key={cause.cause} cause={cause} fitting={fitting} number={number} />
            ))}
          </ul>
        </section>
      ))}
    </Block>
  );
}

function heldAgainst(reading: FittingReading | undefined): string {
  return reading === undefined || reading.revision === null
    ? "the case as it stands"
    : `revision ${reading.revision.toString()}`;
}

/** In which picture the answers were read, and whether another socket stands now. */
export function PictureWords({ reading }: { reading: FittingReading }) {
  if (reading.revision === null) {
    return (
      <p className="read-in differs" role="note">
        <b>Read in the case as it stands</b>, since <Said text={reading.remark} />.
      </p>
    );
  }
  return reading.differs ? (
    <p className="read-in differs" role="note">
      <b>Read in revision {reading.revision}, which was worn.</b> The socket or leg that stands now
      is another, and so is the picture beside this.
    </p>
  ) : (
    <p className="read-in">
      Read in revision {reading.revision}, which was worn; the same socket and leg stand now.
    </p>
  );
}

interface CauseItemProps {
  readonly cause: CauseReading;
  readonly fitting: Fitting;
  readonly number: number;
}

function CauseItem({ cause, fitting, number }: CauseItemProps) {
  const kind = cause.verdict.replaceAll(" ", "-");
  return (
    <li className={`cause cause-${kind}`}>
      <div className="cause-head">
        <b>{named(cause.cause)}</b>
        <span className="verdict">{VERDICTS[cause.verdict]}</span>
      </div>
      <p>
        <Said text={cause.says} /> <BasisBadge basis={cause.basis} />
      </p>
      {cause.suggestion === null || cause.verdict === "speaks against" ? null : (
        <TrySuggestion
          suggestion={cause.suggestion}
          cause={cause.cause}
          fitting={fitting}
          number={number}
        />
      )}
      <p className="source">{cause.source}</p>
    </li>
  );
}
