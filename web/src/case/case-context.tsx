import { createContext, type ReactNode, useContext, useSyncExternalStore } from "react";
import type { CaseDocument } from "../api/document";
import type { Info } from "../api/replies";
import type { StageName } from "../api/results";
import type { CaseSession } from "../state/case-session";
import type { CaseState } from "../state/case-state";
import type { StageStates } from "../state/stage-state";
import type { Section } from "../state/touched";

interface CaseContextValue {
  readonly session: CaseSession;
  readonly info: Info;
}

const CaseContext = createContext<CaseContextValue | null>(null);

export function CaseProvider(props: CaseContextValue & { children: ReactNode }) {
  const { session, info, children } = props;
  return <CaseContext value={{ session, info }}>{children}</CaseContext>;
}

function useCaseContext(): CaseContextValue {
  const value = useContext(CaseContext);
  if (value === null) {
    throw new Error("this part of the page needs a case around it");
  }
  return value;
}

export function useSession(): CaseSession {
  return useCaseContext().session;
}

export function useInfo(): Info {
  return useCaseContext().info;
}

export function useCaseState(): CaseState {
  const { session } = useCaseContext();
  return useSyncExternalStore(session.subscribe, session.snapshot);
}

export function useStage<Name extends StageName>(name: Name): StageStates[Name] {
  return useCaseState().stages[name];
}

/** The document as edited here; panels are shown only once there is one. */
export function useDocument(): CaseDocument {
  const { document } = useCaseState();
  if (document === null) {
    throw new Error("the case is not open yet");
  }
  return document;
}

/** A part of the document and how to change some of it. */
export function useSection<Name extends Exclude<Section, "title">>(
  name: Name,
): [CaseDocument[Name], (change: Partial<CaseDocument[Name]>) => void] {
  const session = useSession();
  const document = useDocument();
  const change = (part: Partial<CaseDocument[Name]>): void =>
    session.edit(name, (now) => ({ ...now, [name]: { ...now[name], ...part } }));
  return [document[name], change];
}

/** What the service says about a place of the document, or null. */
export function useProblem(path: string | undefined): string | null {
  const context = useContext(CaseContext);
  const problems = useSyncExternalStore(
    context?.session.subscribe ?? neverChanges,
    () => context?.session.snapshot().problems ?? NO_PROBLEMS,
  );
  if (path === undefined) {
    return null;
  }
  return problems.find((problem) => samePlace(problem.path, path))?.text ?? null;
}

const NO_PROBLEMS: readonly never[] = [];

function neverChanges(): () => void {
  return () => undefined;
}

/** "shape.areas[2].depth_mm" and "shape.areas.2.depth_mm" name the same place. */
function samePlace(a: string, b: string): boolean {
  const plain = (path: string): string => path.replace(/\[(\w+)\]/g, ".$1");
  return plain(a) === plain(b);
}
