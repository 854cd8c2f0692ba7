import { ALL_CASES } from "../browser/route";
import { useCaseState, useSession } from "../case/case-context";
import { Said } from "../components/said";
import { placeWords } from "../words/places";

/** What stands between the page and the stored case, and what a person can do about it. */
export function Banners() {
  const session = useSession();
  const { connection, conflict, refusal, problems, unsaved, stored, document } = useCaseState();
  const movedOn = unsaved !== null && unsaved.base !== stored?.revision;
  return (
    <div className="banners">
      {connection.kind === "lost" ? (
        <div className="banner" role="alert">
          <p>
            {connection.sentence} What you change here is kept in this tab and stored as soon as it
            answers; the page tries again by itself.
          </p>
          <button type="button" onClick={() => session.retryNow()}>
            Try now
          </button>
        </div>
      ) : null}
      {unsaved === null ? null : (
        <div className="banner" role="alert">
          <p>
            {movedOn
              ? "Changes made in this tab were not stored, and the case was changed elsewhere since. Storing them replaces the case as it stands; that revision stays in the record."
              : "Changes made in this tab were not stored before the page was loaded again."}
          </p>
          <button type="button" onClick={() => session.takeUpUnsaved()}>
            {movedOn ? "Store mine over it" : "Store them now"}
          </button>
          <button type="button" onClick={() => session.giveUpUnsaved()}>
            Give them up
          </button>
        </div>
      )}
      {conflict === null ? null : (
        <div className="banner" role="alert">
          <p>{conflict}</p>
          <button type="button" onClick={() => session.open()}>
            Load the stored case
          </button>
          <button type="button" onClick={() => session.overrule()}>
            Store mine over it
          </button>
        </div>
      )}
      {refusal === null ? null : (
        <div className="banner" role="alert">
          <div className="banner-words">
            <p>
              <Said
                text={problems.length === 0 ? refusal : "This cannot be stored as it stands:"}
              />
            </p>
            {problems.length === 0 ? null : (
              <ul>
                {problems.map((problem) => (
                  <li key={`${problem.path} ${problem.text}`}>
                    {placeWords(problem.path, document)}: <Said text={problem.text} />
                  </li>
                ))}
              </ul>
            )}
          </div>
          <button type="button" onClick={() => session.retryNow()}>
            Try again
          </button>
          {document === null ? (
            <a className="button-link" href={ALL_CASES}>
              All cases
            </a>
          ) : (
            <button type="button" onClick={() => session.open()}>
              Take back my change
            </button>
          )}
        </div>
      )}
    </div>
  );
}
