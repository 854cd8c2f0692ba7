import { useEffect, useMemo, useState } from "react";
import type { AlignPlan } from "../../api/document";
import { sentenceOf } from "../../api/errors";
import type { Move, MoveOutcome } from "../../api/replies";
import type { Adjustment } from "../../api/results";
import { useCaseState, useDocument } from "../../case/case-context";
import { useService } from "../../case/service-context";
import { NewestOnly } from "../../state/newest-only";
import { useTellTried } from "../../workshop/tried-context";
import { useResults } from "../../workshop/use-viewer";
import type { Trial } from "./trial";

export type Outcome =
  | { readonly kind: "none" }
  | { readonly kind: "running" }
  | { readonly kind: "failed"; readonly sentence: string }
  | { readonly kind: "known"; readonly outcome: MoveOutcome };

interface Answer {
  /** What it was asked of: the revision and the move. */
  readonly key: string;
  readonly outcome: Outcome;
}

/** What is known of the change that is wanted now: an answer to another is none. */
export function answerTo(wanted: string | null, moved: boolean, answer: Answer | null): Outcome {
  if (!moved) {
    return { kind: "none" };
  }
  return wanted !== null && answer?.key === wanted ? answer.outcome : { kind: "running" };
}

/** The wanted change as a move of the foot; a wanted moment is met by where the screws bring it. */
export function moveOf(align: AlignPlan, adjustment: Adjustment, trial: Trial | null): Move {
  const tried =
    trial === null ? {} : { foot_forward_mm: trial.forward, foot_out_mm: trial.outward };
  return {
    by_adapters: true,
    foot_forward_mm:
      align.wanted_sagittal_n_m === null ? align.wanted_forward_mm : adjustment.reached_forward_mm,
    foot_out_mm:
      align.wanted_coronal_n_m === null ? align.wanted_outward_mm : adjustment.reached_outward_mm,
    foot_up_mm: align.wanted_up_mm ?? 0,
    toe_out_deg: align.wanted_toe_out_deg ?? 0,
    dorsiflexion_deg: align.wanted_foot_flexion_deg,
    outer_border_up_deg: align.wanted_foot_adduction_deg,
    ...tried,
  };
}

/** What a tried or wanted change would do to the case as evaluated; the last one wins. */
export function useWhatIf(trial: Trial | null): Outcome {
  const service = useService();
  const { id, evaluated, uncovered } = useCaseState();
  const { align } = useDocument();
  const adjustment = useResults("align")?.adjustment;
  const [answer, setAnswer] = useState<Answer | null>(null);
  const newest = useMemo(() => {
    const made: NewestOnly = new NewestOnly(async (key) => {
      const [, asked] = JSON.parse(key) as [number, Move];
      const next: Outcome = await service
        .whatIf(id, asked)
        .then((outcome) => ({ kind: "known", outcome }) as const)
        .catch((error: unknown) => ({ kind: "failed", sentence: sentenceOf(error) }) as const);
      if (made.isWanted(key)) {
        setAnswer({ key, outcome: next });
      }
    });
    return made;
  }, [service, id]);
  useEffect(() => () => newest.drop(), [newest]);
  const move = adjustment === undefined ? null : moveOf(align, adjustment, trial);
  const moved =
    move !== null && Object.values(move).some((part) => typeof part === "number" && part !== 0);
  // Asked only of a case that stands: an edit that is still under way goes first.
  const wanted =
    moved && uncovered.length === 0 && evaluated !== null
      ? JSON.stringify([evaluated.revision, move])
      : null;
  useEffect(() => {
    if (wanted === null) {
      newest.drop();
      return;
    }
    void newest.want(wanted);
  }, [wanted, newest]);
  const state = useMemo(() => answerTo(wanted, moved, answer), [wanted, moved, answer]);
  useTellPicture(state);
  return state;
}

/** Has the picture show the pressures of what is tried, for as long as it is. */
function useTellPicture(state: Outcome): void {
  const tell = useTellTried();
  useEffect(() => {
    tell((before) => {
      switch (state.kind) {
        case "known":
          return { outcome: state.outcome, current: true };
        case "running":
          return before && { ...before, current: false };
        case "none":
        case "failed":
          return null;
      }
    });
  }, [tell, state]);
  useEffect(() => () => tell(() => null), [tell]);
}
