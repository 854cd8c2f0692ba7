import { useEffect, useRef, useState } from "react";
import type { Point } from "../api/document";
import { useCaseState } from "../case/case-context";
import type { LimbViewer } from "../viewer/limb-viewer";
import type { MarkerItem } from "../viewer/scene";
import { useResults } from "./use-viewer";

/** A point is placed once no step has followed for this long: every placing captures anew. */
const REST_MS = 500;

interface Waiting {
  readonly marker: string;
  readonly at: Point;
  readonly place: (at: Point) => void;
  /** Whether it has been given to the service, whose answer it then waits for. */
  readonly given: boolean;
}

export interface Placing {
  /** Where a marker stands after steps that the results do not know yet; null without any. */
  readonly waiting: (marker: string) => Point | null;
  readonly step: (marker: MarkerItem, by: Point, place: (at: Point) => void) => void;
  /** Give up steps that were not placed yet; false when there are none. */
  readonly giveUp: () => boolean;
  readonly holdsSteps: boolean;
}

/** Steps of a point that the service puts on the skin: gathered, shown at once, placed together. */
export function usePlacing(viewer: LimbViewer | null): Placing {
  const limb = useResults("capture");
  const fit = useResults("fit");
  const { refusal } = useCaseState();
  const held = useRef<Waiting | null>(null);
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);
  const [shown, setShown] = useState<Waiting | null>(null);
  const hold = (next: Waiting | null): void => {
    held.current = next;
    setShown(next);
  };
  const give = (): void => {
    clearTimeout(timer.current);
    const now = held.current;
    if (now !== null && !now.given) {
      hold({ ...now, given: true });
      now.place(now.at);
    }
  };
  useEffect(() => () => clearTimeout(timer.current), []);
  // The answer is there: from now on the results say where the point is.
  // biome-ignore lint/correctness/useExhaustiveDependencies: new results are the occasion
  useEffect(() => {
    if (held.current?.given === true) {
      hold(null);
    }
  }, [limb, fit]);
  // biome-ignore lint/correctness/useExhaustiveDependencies: a refusal is the occasion
  useEffect(() => {
    if (refusal !== null && held.current?.given === true) {
      viewer?.previewMarker(held.current.marker, null);
      hold(null);
    }
  }, [refusal]);

  return {
    waiting: (marker) => (shown?.marker === marker ? shown.at : null),
    step: (marker, by, place) => {
      if (held.current?.marker !== marker.id) {
        give();
      }
      const from = held.current?.marker === marker.id ? held.current.at : marker.at;
      const at: Point = [from[0] + by[0], from[1] + by[1], from[2] + by[2]];
      viewer?.previewMarker(marker.id, at);
      hold({ marker: marker.id, at, place, given: false });
      clearTimeout(timer.current);
      timer.current = setTimeout(give, REST_MS);
    },
    giveUp: () => {
      const now = held.current;
      if (now === null || now.given) {
        return false;
      }
      clearTimeout(timer.current);
      viewer?.previewMarker(now.marker, null);
      hold(null);
      return true;
    },
    holdsSteps: shown !== null && !shown.given,
  };
}
