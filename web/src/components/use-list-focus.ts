import { type RefObject, useEffect, useRef } from "react";

export interface ListHeading<Head extends HTMLElement = HTMLHeadingElement> {
  readonly ref: RefObject<Head | null>;
  readonly tabIndex: -1;
}

/** Takes an entry out of a list; the list's heading has the focus then. */
export type Removing = (remove: () => void) => void;

/**
 * Where the focus goes when an entry is removed by its own button: that button is gone, or stands
 * for the next entry already, which nobody chose. An entry that goes otherwise takes no focus.
 */
export function useListFocus<Head extends HTMLElement = HTMLHeadingElement>(
  count: number,
): { readonly heading: ListHeading<Head>; readonly removing: Removing } {
  const ref = useRef<Head>(null);
  const pressed = useRef(false);
  // biome-ignore lint/correctness/useExhaustiveDependencies: an entry less is the occasion
  useEffect(() => {
    if (pressed.current) {
      pressed.current = false;
      ref.current?.focus();
    }
  }, [count]);
  return {
    heading: { ref, tabIndex: -1 },
    removing: (remove) => {
      pressed.current = true;
      remove();
    },
  };
}
