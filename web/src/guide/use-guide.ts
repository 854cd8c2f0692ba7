import { useEffect, useMemo, useState } from "react";
import type { CaseDocument } from "../api/document";
import { sentenceOf } from "../api/errors";
import { useCaseState } from "../case/case-context";
import { useService } from "../case/service-context";
import { useView } from "../case/view-context";
import { useMakingHere } from "../stages/make/making-context";
import type { GuideFacts } from "./facts";
import { keep, recall } from "./memory";
import type { GuideStep } from "./steps";

const FIRST_REVISION = 1;

interface Begun {
  readonly document: CaseDocument | null;
  readonly problem: string | null;
}

/** The case as it began, which the steps hold the present one against. */
export function useBegun(): Begun {
  const service = useService();
  const { id } = useCaseState();
  const [begun, setBegun] = useState<Begun>({ document: null, problem: null });
  useEffect(() => {
    let alive = true;
    service
      .readRevision(id, FIRST_REVISION)
      .then(({ document }): Begun => ({ document, problem: null }))
      .catch((error: unknown): Begun => ({ document: null, problem: sentenceOf(error) }))
      .then((found) => alive && setBegun(found));
    return () => {
      alive = false;
    };
  }, [service, id]);
  return begun;
}

/** What the steps are judged by; null until it is known how the case began. */
export function useFacts(begun: CaseDocument | null): GuideFacts | null {
  const { document: now, stages, history } = useCaseState();
  const { settings: view } = useView();
  const { making } = useMakingHere();
  const files = making.kind === "done" ? making.files.length : null;
  return useMemo(
    () => (begun === null || now === null ? null : { begun, now, stages, history, view, files }),
    [begun, now, stages, history, view, files],
  );
}

/** Which steps were seen done: what was done and taken back again stays done. */
export function useDone(place: string, step: GuideStep | null, facts: GuideFacts | null) {
  const { id } = useCaseState();
  const [done, setDone] = useState(() => recall(id).done);
  const isDone = step !== null && facts !== null && step.done(facts);
  useEffect(() => {
    if (step !== null && isDone) {
      setDone((before) => (before.includes(step.id) ? before : [...before, step.id]));
    }
  }, [step, isDone]);
  useEffect(() => keep(id, { at: place, done }), [id, place, done]);
  return done;
}
