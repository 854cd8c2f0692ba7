/** What the guide knows of the case and the page; its steps ask nothing else. */

import type { CaseDocument } from "../api/document";
import type { CasePressure, Check, ResultsByStage, StageName } from "../api/results";
import type { ViewSettings } from "../case/view-settings";
import { changedPlace, type History } from "../state/history";
import type { StageStates } from "../state/stage-state";

export interface GuideFacts {
  /** The case as it began: its first revision. */
  readonly begun: CaseDocument;
  /** The case as it stands here. */
  readonly now: CaseDocument;
  readonly stages: StageStates;
  readonly history: History;
  readonly view: ViewSettings;
  /** Number of files that were made; null while none were. */
  readonly files: number | null;
}

/** A stage's results as they stand; null while there are none or while they are recomputed. */
export function currentResults<Name extends StageName>(
  facts: GuideFacts,
  name: Name,
): ResultsByStage[Name] | null {
  const state = facts.stages[name];
  return state.kind === "ready" ? (state.results as ResultsByStage[Name]) : null;
}

/** Pressures under the load that is shown. */
export function shownCase(facts: GuideFacts): CasePressure | null {
  const cases = currentResults(facts, "prove")?.interface.cases ?? [];
  return cases.find((one) => one.load_case === facts.view.loadCase) ?? null;
}

/** The check of strength with the least margin for what it needs; null where none is known. */
export function weakestCheck(facts: GuideFacts): (Check & { readonly margin: number }) | null {
  const known = (currentResults(facts, "prove")?.strength ?? []).flatMap((check) =>
    check.margin === null ? [] : [{ ...check, margin: check.margin }],
  );
  const share = (check: (typeof known)[number]): number => check.margin / check.required_margin;
  return known.reduce<(typeof known)[number] | null>(
    (least, check) => (least === null || share(check) < share(least) ? check : least),
    null,
  );
}

/** Whether two parts of a document differ in what they say, in whatever order they say it. */
export function differs(before: unknown, after: unknown): boolean {
  return changedPlace(before, after) !== null;
}

/** The first area whose depth is no longer what it was when the case began. */
export function changedArea({ begun, now }: GuideFacts): string | null {
  const depth = (name: string): number | undefined =>
    begun.shape.areas.find((area) => area.name === name)?.depth_mm;
  return now.shape.areas.find((area) => area.depth_mm !== depth(area.name))?.name ?? null;
}
