import { createContext, type ReactNode, useContext, useEffect } from "react";
import { useCaseState, useSession } from "../../case/case-context";
import { useService } from "../../case/service-context";
import { type Making, useMaking } from "./use-making";

interface MakingHere {
  readonly making: Making;
  readonly start: () => void;
}

const MakingContext = createContext<MakingHere | null>(null);

/** A making job goes on, and what it made stays at hand, while another stage is open. */
export function MakingProvider({ children }: { children: ReactNode }) {
  const session = useSession();
  const { id, stored } = useCaseState();
  const value = useMaking(useService(), id, stored?.revision ?? 0);
  const { making } = value;
  useEffect(() => {
    // The parts that were just made come with the next evaluation of the same revision.
    if (making.kind === "done") {
      session.renew();
    }
  }, [making, session]);
  return <MakingContext value={value}>{children}</MakingContext>;
}

export function useMakingHere(): MakingHere {
  const value = useContext(MakingContext);
  if (value === null) {
    throw new Error("this part of the page needs the making of files around it");
  }
  return value;
}
