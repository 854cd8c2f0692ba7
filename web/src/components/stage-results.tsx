import type { ReactNode } from "react";
import type { StageState } from "../state/stage-state";
import { FindingList } from "./finding-list";
import { Said } from "./said";

interface StageResultsProps<Results> {
  readonly state: StageState<Results>;
  readonly children: (results: Results) => ReactNode;
}

/** A stage's results in whatever state they are; stale ones are dimmed and say so. */
export function StageResults<Results>({ state, children }: StageResultsProps<Results>) {
  switch (state.kind) {
    case "empty":
      return <p className="quiet">Not computed yet.</p>;
    case "running":
      return (
        <p className="quiet" role="status">
          Computing …
        </p>
      );
    case "blocked":
      return (
        <div className="refusal">
          <p className="refusal-head">This waits for an earlier stage.</p>
          <p>
            <Said text={state.sentence} />
          </p>
        </div>
      );
    case "failed":
      return (
        <div className="refusal" role="alert">
          <p className="refusal-head">This could not be computed.</p>
          <p>
            <Said text={state.sentence} />
          </p>
          {state.where === null ? null : <p className="quiet">Where: {state.where}</p>}
          <FindingList findings={state.findings} />
        </div>
      );
    case "ready":
    case "stale":
      return (
        <div
          className={state.kind === "stale" ? "results stale" : "results"}
          aria-busy={state.kind === "stale"}
        >
          {children(state.results)}
          <FindingList findings={state.findings} />
        </div>
      );
  }
}
