import type { Point } from "../api/document";
import type { AreaPressure, CasePressure } from "../api/results";
import { useCaseState } from "../case/case-context";
import { useView } from "../case/view-context";
import { isCurrent } from "../state/case-state";
import { useResults } from "./use-viewer";

export interface LivePressure {
  readonly shown: CasePressure | null;
  readonly donned: CasePressure | null;
  /** Where a push on the limb is told: in the middle of what the socket covers. */
  readonly middle: Point;
  readonly areas: ReadonlyMap<string, AreaPressure>;
  /** What is shown belongs to an earlier state of the case. */
  readonly behind: boolean;
}

const ORIGIN: Point = [0, 0, 0];

/** What the areas carry under the load in view: of a first look at the edit, else of the results. */
export function useLivePressure(): LivePressure {
  const state = useCaseState();
  const { settings } = useView();
  const proof = useResults("prove");
  const cases = proof?.interface.cases ?? [];
  const find = (name: string): CasePressure | null =>
    cases.find((one) => one.load_case === name) ?? null;
  const seen = state.looked?.edit === state.edits ? state.looked.pressure : null;
  const first = seen?.load_case === settings.loadCase ? seen : null;
  const shown = first ?? find(settings.loadCase);
  return {
    middle: proof?.socket_middle_mm ?? ORIGIN,
    shown,
    donned: find("donned"),
    areas: new Map((shown?.areas ?? []).map((area) => [area.area, area])),
    behind: first === null && !isCurrent(state),
  };
}
