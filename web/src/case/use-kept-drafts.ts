import { useEffect, useState } from "react";
import { useCaseState } from "./case-context";
import { keepDrafts, keptDrafts } from "./kept-drafts";
import { useView } from "./view-context";
import type { Drafts } from "./view-settings";

/** Complaints not told whole yet outlive a reload; another case in the same folder has its own. */
export function useKeptDrafts(): void {
  const { record } = useCaseState();
  const { settings, setSettings } = useView();
  /** Whose drafts the page holds. */
  const [held, setHeld] = useState<string | null>(null);
  useEffect(() => {
    if (record === null) {
      return;
    }
    if (held === record) {
      keepDrafts(record, settings.drafts);
      return;
    }
    const drafts: Drafts = keptDrafts(record);
    setSettings((before) => ({ ...before, drafts }));
    setHeld(record);
  }, [record, held, settings.drafts, setSettings]);
}
