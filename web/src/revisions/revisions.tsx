import { Said } from "../components/said";
import "./revisions.css";
import { useEffect } from "react";
import {
  type Compared,
  type RevisionPair,
  replaceAddress,
  revisionsAddress,
} from "../browser/route";
import { useCaseState } from "../case/case-context";
import { Cautions } from "../components/cautions";
import { useRevisions } from "../workshop/use-revisions";
import { ComparedPictures } from "./compared-pictures";
import { PlanChangeBlock } from "./plan-changes";
import { FigureBlock, FindingChangeBlock, MarginBlock, PressureBlock } from "./result-changes";
import { RevisionList } from "./revision-list";
import type { ShownPair } from "./shown";
import { TakeAgainBlock } from "./take-again";
import { type PairState, usePair } from "./use-pair";

/** Two revisions of the case, or two engines on one of them, side by side. */
export function Revisions({ compared }: { compared: Compared }) {
  const { id, stored } = useCaseState();
  const standing = stored?.revision ?? null;
  const { entries, problem } = useRevisions(standing);
  useFirstPair(id, compared, entries?.map(({ number }) => number) ?? null);
  const { state, again } = usePair(id, compared);
  const pair = compared === "confirmed" ? null : compared;
  return (
    <>
      <div className="bench-middle">
        <Pictures {...{ id, compared, state, again }} only={entries?.length === 1} />
      </div>
      <main className="panel">
        <header className="panel-head">
          <h2>{compared === "confirmed" ? "Confirmed" : "Revisions"}</h2>
          <p>{questionOf(compared)}</p>
        </header>
        <div className="panel-body">
          {problem === null ? null : <p className="refusal">{problem}</p>}
          {entries === null ? (
            <p className="quiet">Listing the revisions …</p>
          ) : (
            <RevisionList {...{ id, entries, standing, pair }} />
          )}
          {pair === null ? null : <PlanChangeBlock {...{ id, pair }} />}
          {state.kind === "ready" ? <ResultBlocks pair={state.pair} plans={pair !== null} /> : null}
          {pair === null ? null : <TakeAgainBlock {...{ id, pair }} />}
          <Cautions />
        </div>
      </main>
    </>
  );
}

function ResultBlocks({ pair, plans }: { pair: ShownPair; plans: boolean }) {
  return (
    <>
      <PressureBlock pair={pair} />
      {plans ? <MarginBlock pair={pair} /> : null}
      {plans ? <FigureBlock pair={pair} /> : null}
      <FindingChangeBlock pair={pair} />
    </>
  );
}

/** Where none are named yet, the last two: what changed since the last time. */
function useFirstPair(id: string, compared: Compared, numbers: readonly number[] | null): void {
  const [before, after] = numbers?.slice(-2) ?? [];
  useEffect(() => {
    if (compared === null && before !== undefined && after !== undefined) {
      replaceAddress(revisionsAddress(id, { before, after }));
    }
  }, [id, compared, before, after]);
}

function questionOf(compared: Compared): string {
  return compared === "confirmed"
    ? "How far does the quick model agree with finite elements?"
    : "What was changed, and what did it change?";
}

interface PicturesProps {
  readonly id: string;
  readonly compared: RevisionPair | "confirmed" | null;
  readonly state: PairState;
  readonly again: () => void;
  readonly only: boolean;
}

function Pictures({ id, compared, state, again, only }: PicturesProps) {
  const pair = state.kind === "ready" ? state.pair : state.kind === "computing" ? state.last : null;
  if (pair !== null) {
    return <ComparedPictures id={id} pair={pair} computing={state.kind === "computing"} />;
  }
  if (state.kind === "failed") {
    return (
      <div className="no-pair" role="alert">
        <p>
          <Said text={state.sentence} />
        </p>
        <button type="button" onClick={again}>
          Try again
        </button>
      </div>
    );
  }
  const waits = only
    ? "There is one revision so far: every change of the case makes another."
    : "Computing both …";
  return (
    <p className="no-pair" role="status">
      {compared === null ? waits : "Computing both …"}
    </p>
  );
}
