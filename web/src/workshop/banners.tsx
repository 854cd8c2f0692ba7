import { useCaseState, useSession } from "./case-context";

/** What stands between the page and the stored case, and what a person can do about it. */
export function Banners() {
  const session = useSession();
  const { connection, conflict, refusal, problems } = useCaseState();
  return (
    <div className="banners">
      {connection.kind === "lost" ? (
        <div className="banner" role="alert">
          <p>{connection.sentence} What you change here is kept and sent once it answers.</p>
          <button type="button" onClick={() => session.retryNow()}>
            Try now
          </button>
        </div>
      ) : null}
      {conflict === null ? null : (
        <div className="banner" role="alert">
          <p>{conflict}</p>
          <button type="button" onClick={() => session.open()}>
            Load the stored case
          </button>
          <button type="button" onClick={() => void session.overrule()}>
            Store mine over it
          </button>
        </div>
      )}
      {refusal === null ? null : (
        <div className="banner" role="alert">
          <p>{refusal}</p>
          {problems.length < 2 ? null : (
            <ul>
              {problems.map((problem) => (
                <li key={`${problem.path} ${problem.text}`}>
                  <code>{problem.path}</code>: {problem.text}
                </li>
              ))}
            </ul>
          )}
          <button type="button" onClick={() => session.retryNow()}>
            Try again
          </button>
          <button type="button" onClick={() => session.open()}>
            Take back my change
          </button>
        </div>
      )}
    </div>
  );
}
