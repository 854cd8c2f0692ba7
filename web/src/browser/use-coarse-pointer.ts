import { useSyncExternalStore } from "react";

const COARSE = "(pointer: coarse)";

/** Whether the pointer in use is a finger. */
export function useCoarsePointer(): boolean {
  return useSyncExternalStore(
    (changed) => {
      const query = matchMedia(COARSE);
      query.addEventListener("change", changed);
      return () => query.removeEventListener("change", changed);
    },
    () => matchMedia(COARSE).matches,
  );
}
