import { type RefObject, useEffect, useRef, useState, useSyncExternalStore } from "react";
import type { ArraySet } from "../api/client";
import { sentenceOf } from "../api/errors";
import type { ResultsByStage, StageName } from "../api/results";
import { useCaseState, useSession } from "../case/case-context";
import { onScheme } from "../scheme/scheme";
import { useUnits } from "../units/units-context";
import { LimbViewer, type ViewerEvents } from "../viewer/limb-viewer";
import type { Scene } from "../viewer/scene";

/** A viewer in a place of the page, made once; events always reach the newest handlers. */
export function useViewer(
  host: RefObject<HTMLDivElement | null>,
  events: ViewerEvents,
): { viewer: LimbViewer | null; fault: string | null } {
  const [viewer, setViewer] = useState<LimbViewer | null>(null);
  const [fault, setFault] = useState<string | null>(null);
  const newest = useRef(events);
  useEffect(() => {
    newest.current = events;
  });
  useEffect(() => {
    if (host.current === null) {
      return;
    }
    let made: LimbViewer;
    try {
      made = new LimbViewer(host.current, {
        onReading: (...args) => newest.current.onReading(...args),
        onTouch: (...args) => newest.current.onTouch(...args),
        onMarker: (...args) => newest.current.onMarker(...args),
        onMarkerMoved: (...args) => newest.current.onMarkerMoved(...args),
        onView: (...args) => newest.current.onView(...args),
        onMarkerPreview: (...args) => newest.current.onMarkerPreview?.(...args),
        onHandle: (...args) => newest.current.onHandle?.(...args),
        onHandleGivenUp: (...args) => newest.current.onHandleGivenUp?.(...args),
        onHandleStepped: (...args) => newest.current.onHandleStepped?.(...args),
      });
    } catch (error) {
      setFault(sentenceOf(error));
      return;
    }
    setViewer(made);
    const stop = onScheme(() => made.recolour());
    return () => {
      stop();
      setViewer(null);
      made.dispose();
    };
  }, [host]);
  return { viewer, fault };
}

/** A viewer that shows a scene in the units of the page. */
export function usePicture(
  host: RefObject<HTMLDivElement | null>,
  scene: Scene,
  events: ViewerEvents,
): { viewer: LimbViewer | null; fault: string | null } {
  const { choice } = useUnits();
  const made = useViewer(host, events);
  const { viewer } = made;
  useEffect(() => viewer?.show(scene), [viewer, scene]);
  useEffect(() => viewer?.setInches(choice.length === "inch"), [viewer, choice]);
  return made;
}

export function useArrays(): ArraySet {
  const session = useSession();
  return useSyncExternalStore(session.subscribe, session.arrays);
}

/** A stage's results, current or stale; null while there are none. */
export function useResults<Name extends StageName>(name: Name): ResultsByStage[Name] | null {
  const state = useCaseState().stages[name];
  return state.kind === "ready" || state.kind === "stale"
    ? (state.results as ResultsByStage[Name])
    : null;
}
