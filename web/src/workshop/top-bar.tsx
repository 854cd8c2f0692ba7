import { isCurrent } from "../state/case-state";
import { useCaseState, useDocument } from "./case-context";
import { UnitSwitch } from "./unit-switch";

/** Whose leg this is, whether what is shown is current, and the units of display. */
export function TopBar() {
  const { title, person, invented } = useDocument();
  return (
    <header className="top-bar">
      <a className="wordmark" href="#/">
        Limbwright
      </a>
      <div className="whose">
        <h1>{title === "" ? person.code : title}</h1>
        <span className="whose-code">{person.code}</span>
        {invented ? <span className="invented">Invented person</span> : null}
      </div>
      <StateOfThings />
      <UnitSwitch />
    </header>
  );
}

function StateOfThings() {
  const state = useCaseState();
  const current = isCurrent(state);
  const revision = state.stored === null ? "" : `Revision ${state.stored.revision.toString()}`;
  const words = (): string => {
    if (state.connection.kind === "lost") {
      return "No connection";
    }
    if (state.conflict !== null || state.refusal !== null) {
      return "Not saved";
    }
    return current ? "Up to date" : "Recomputing …";
  };
  const elapsed = state.evaluated === null ? "" : `in ${elapsedWords(state.evaluated.elapsedMs)}`;
  return (
    <p className="state-of-things" role="status">
      <span className={current ? "state-dot" : "state-dot at-work"} aria-hidden="true" />
      <span data-testid="state">{words()}</span>
      <span className="quiet">
        {revision}
        {current && elapsed !== "" ? `, ${elapsed}` : ""}
      </span>
    </p>
  );
}

function elapsedWords(ms: number): string {
  return ms < 1000 ? `${Math.round(ms).toString()} ms` : `${(ms / 1000).toFixed(1)} s`;
}
