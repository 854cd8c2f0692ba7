/** A place of the picture touched by keys alone: what lies under a cross-hair in its middle. */

import { type RefObject, useState } from "react";
import type { LimbViewer } from "../viewer/limb-viewer";
import { type KeyPress, WAYS } from "./picture-keys";

const STEP_MM = 5;
const FINE_STEP_MM = 1;

export type Aimed = Pick<LimbViewer, "shift" | "touchMiddle">;

/**
 * What a key does under the cross-hair: Enter touches, arrows with Shift bring another place under
 * it, with Alt too by small steps. Null when the key meant nothing here.
 */
export function handleCrossHairKey(
  { key, shiftKey, altKey }: KeyPress,
  viewer: Aimed,
): "touched" | "missed" | "moved" | null {
  if (key === "Enter") {
    return viewer.touchMiddle() ? "touched" : "missed";
  }
  const way = WAYS[key];
  if (!shiftKey || way === undefined) {
    return null;
  }
  const step = altKey ? FINE_STEP_MM : STEP_MM;
  viewer.shift(step * way[0], step * way[1]);
  return "moved";
}

/** The keys of the cross-hair while a touch is asked for and the picture is worked by keys. */
export function useCrossHair(
  host: RefObject<HTMLElement | null>,
  viewer: LimbViewer | null,
  asked: boolean,
): { readonly missed: boolean; readonly onKey: (press: KeyPress) => boolean } {
  const [missed, setMissed] = useState(false);
  const onKey = (press: KeyPress): boolean => {
    // Only under a cross-hair that is seen: the style sheet shows it by the same rule.
    if (!asked || viewer === null || host.current?.matches(":focus-visible") !== true) {
      return false;
    }
    const done = handleCrossHairKey(press, viewer);
    setMissed(done === "missed");
    return done !== null;
  };
  return { missed: missed && asked, onKey };
}

export const CROSS_HAIR_KEYS =
  "A cross-hair stands in the middle: arrow keys with Shift bring another place under it, with Alt too by small steps, and Enter takes the place.";

export function CrossHair() {
  return (
    <svg className="cross-hair" viewBox="-24 -24 48 48" aria-hidden="true">
      <path className="under" d="M-22 0 H-5 M5 0 H22 M0 -22 V-5 M0 5 V22" />
      <path d="M-22 0 H-5 M5 0 H22 M0 -22 V-5 M0 5 V22" />
      <circle r="1.5" />
    </svg>
  );
}

/** How a place is taken by keys, told while the picture is worked by them. */
export function ByKeys({ missed }: { missed: boolean }) {
  return (
    <>
      {missed ? <strong>The cross-hair lies beside the limb. </strong> : null}
      <span className="by-keys">
        By keys: Shift and arrows aim, Shift Alt and arrows finely, Enter takes the place.{" "}
      </span>
    </>
  );
}

/** How a finger takes a place that it hides, told where fingers are used. */
export function ByHand() {
  return <span className="by-hand">Held, a finger aims under a lens.</span>;
}
