import { createContext, type ReactNode, useContext } from "react";
import { useCaseState } from "../../workshop/case-context";
import { useService } from "../../workshop/service-context";
import { type Making, useMaking } from "./use-making";

interface MakingHere {
  readonly making: Making;
  readonly start: () => void;
}

const MakingContext = createContext<MakingHere | null>(null);

/** A making job goes on, and what it made stays at hand, while another stage is open. */
export function MakingProvider({ children }: { children: ReactNode }) {
  const value = useMaking(useService(), useCaseState().id);
  return <MakingContext value={value}>{children}</MakingContext>;
}

export function useMakingHere(): MakingHere {
  const value = useContext(MakingContext);
  if (value === null) {
    throw new Error("this part of the page needs the making of files around it");
  }
  return value;
}
