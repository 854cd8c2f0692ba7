import { useEffect, useState } from "react";
import { sentenceOf } from "../api/errors";
import type { Measured } from "../api/replies";
import { useCaseState } from "../case/case-context";
import { useService } from "../case/service-context";
import { useView } from "../case/view-context";
import { useUnits } from "../units/units-context";
import type { Triple } from "../viewer/scene";
import { ByKeys } from "./cross-hair";
import { Hint } from "./hint";

interface MeasuredHintProps {
  readonly taken: Taken;
  readonly skinShown: boolean;
  /** The cross-hair points beside the limb. */
  readonly missed: boolean;
}

/** The distance between two touched points of the limb, straight and along its skin. */
export function MeasuredHint({ taken: { found, problem }, skinShown, missed }: MeasuredHintProps) {
  const { settings, setSettings } = useView();
  const { text } = useUnits();
  const touched = settings.measured?.length ?? 0;
  return (
    <Hint
      end={
        <button type="button" onClick={() => setSettings((now) => ({ ...now, measured: null }))}>
          Done
        </button>
      }
    >
      {problem ??
        (touched < 2
          ? skinShown
            ? `Touch the skin at the ${touched === 0 ? "first" : "second"} point.`
            : "Distances are measured on the skin: tick “Skin” to touch it."
          : found === null
            ? "Measuring …"
            : measuredWords(found, (value) => text(value, "mm", 1)))}{" "}
      {touched < 2 ? <ByKeys missed={missed} /> : null}
    </Hint>
  );
}

export function measuredWords(found: Measured, text: (value: number) => string): string {
  const along =
    found.surface_mm === null
      ? "no way along the skin joins them"
      : `${text(found.surface_mm)} along the skin`;
  return `${text(found.straight_mm)} straight, ${along}.`;
}

/** What the service measured between two points, or why it could not. */
export interface Taken {
  readonly found: Measured | null;
  readonly problem: string | null;
}

const NOT_TAKEN: Taken = { found: null, problem: null };

export function useMeasured(points: readonly Triple[] | null): Taken {
  const service = useService();
  const { id } = useCaseState();
  const [state, setState] = useState(NOT_TAKEN);
  useEffect(() => {
    let alive = true;
    setState(NOT_TAKEN);
    const [from, to] = points ?? [];
    if (from !== undefined && to !== undefined) {
      service
        .measure(id, from, to)
        .then((found) => alive && setState({ found, problem: null }))
        .catch((error: unknown) => alive && setState({ found: null, problem: sentenceOf(error) }));
    }
    return () => {
      alive = false;
    };
  }, [service, id, points]);
  return state;
}
