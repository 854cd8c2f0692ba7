import { createContext, type ReactNode, useContext, useEffect, useState } from "react";
import { goTo, useStageAddress } from "../browser/route";
import { useCaseState } from "./case-context";
import { focusEntry, stageOfEntry } from "./entries";

interface Wanted {
  readonly stage: string;
  /** "" for the panel itself. */
  readonly entry: string;
}

const WantedContext = createContext<(wanted: Wanted) => void>(() => undefined);

interface WantedEntryProps {
  /** Null where no stage's panel is shown. */
  readonly stage: string | null;
  readonly children: ReactNode;
}

/** Takes the focus to an entry of a stage's panel once that stage is shown. */
export function WantedEntry({ stage, children }: WantedEntryProps) {
  const [wanted, setWanted] = useState<Wanted | null>(null);
  useEffect(() => {
    const panel = document.querySelector<HTMLElement>("main.panel");
    if (wanted?.stage !== stage || panel === null) {
      return;
    }
    if (wanted.entry === "" || !focusEntry(panel, wanted.entry)) {
      panel.focus();
    }
    setWanted(null);
  }, [wanted, stage]);
  return <WantedContext value={setWanted}>{children}</WantedContext>;
}

/** Goes to the panel that holds an entry of the case document, and to the entry in it. */
export function useGoToEntry(): (entry: string) => void {
  const goToStage = useGoToStage();
  return (entry) => goToStage(stageOfEntry(entry), entry);
}

/** Goes to a stage's panel by a key; what was being typed is stored first. */
export function useGoToStage(): (stage: string, entry?: string) => void {
  const address = useStageAddress(useCaseState().id);
  const want = useContext(WantedContext);
  return (stage, entry = "") => {
    if (document.activeElement instanceof HTMLElement) {
      document.activeElement.blur();
    }
    want({ stage, entry });
    goTo(address(stage));
  };
}
