import { useEffect } from "react";
import { revisionsAddress, useRoute } from "../browser/route";
import { useCaseState, useDocument, useSession } from "../case/case-context";
import { useService } from "../case/service-context";
import { SchemeSwitch } from "../scheme/scheme-switch";
import { isCurrent } from "../state/case-state";
import { UnitSwitch } from "./unit-switch";
import { useCapturing } from "./use-capturing";

/** Whose leg this is, whether what is shown is current, and the units of display. */
export function TopBar() {
  const { title, person, invented } = useDocument();
  return (
    <header className="top-bar">
      <a className="wordmark" href="#/">
        Limbwright
      </a>
      <div className="whose">
        <h1 title={title}>{title === "" ? person.code : title}</h1>
        {title === "" ? null : <span className="whose-code">{person.code}</span>}
        {invented ? <span className="invented">Invented person</span> : null}
      </div>
      <Steps />
      <RevisionsLink />
      <StateOfThings />
      <UnitSwitch />
      <SchemeSwitch />
    </header>
  );
}

/** Taking back what was done here, and doing it again. */
function Steps() {
  const session = useSession();
  const { past, future } = useCaseState().history;
  useEffect(() => {
    const onKeyDown = (event: KeyboardEvent): void => {
      const way = stepOf(event);
      if (way !== null) {
        event.preventDefault();
        session.step(way);
      }
    };
    addEventListener("keydown", onKeyDown);
    return () => removeEventListener("keydown", onKeyDown);
  }, [session]);
  return (
    <fieldset className="steps">
      <legend className="unseen">Steps</legend>
      <button
        type="button"
        disabled={past.length === 0}
        title="Take the last change back (Ctrl Z)"
        onClick={() => session.step("back")}
      >
        Undo
      </button>
      <button
        type="button"
        disabled={future.length === 0}
        title="Do it again (Ctrl Shift Z)"
        onClick={() => session.step("forward")}
      >
        Redo
      </button>
    </fieldset>
  );
}

/** To all revisions of the case, two of them side by side. */
function RevisionsLink() {
  const { id } = useCaseState();
  const here = useRoute().kind === "revisions";
  return (
    <a
      className="button-link"
      href={revisionsAddress(id)}
      aria-current={here ? "page" : undefined}
      title="All revisions of this case, two of them side by side"
    >
      Revisions
    </a>
  );
}

/** Which step a key asks for; in an entry of text the browser's own undo stays. */
function stepOf(event: KeyboardEvent): "back" | "forward" | null {
  const target = event.target;
  const writes = target instanceof HTMLInputElement && !["range", "radio"].includes(target.type);
  if (!(event.ctrlKey || event.metaKey) || event.altKey || writes) {
    return null;
  }
  switch (event.key.toLowerCase()) {
    case "z":
      return event.shiftKey ? "forward" : "back";
    case "y":
      return "forward";
    default:
      return null;
  }
}

function StateOfThings() {
  const state = useCaseState();
  const current = isCurrent(state);
  const capturing = useCapturing(useService(), state.id, state.working && !current);
  const revision = state.stored === null ? "" : `Revision ${state.stored.revision.toString()}`;
  const words = (): string => {
    if (state.connection.kind === "lost") {
      return "No connection";
    }
    if (state.conflict !== null || state.refusal !== null) {
      return "Not saved";
    }
    if (capturing !== null) {
      return `Capturing the limb: ${capturing.text}, ${percent(capturing.progress)} …`;
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

function percent(share: number): string {
  return `${Math.round(100 * share).toString()} %`;
}

function elapsedWords(ms: number): string {
  return ms < 1000 ? `${Math.round(ms).toString()} ms` : `${(ms / 1000).toFixed(1)} s`;
}
