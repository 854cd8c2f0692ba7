import { useEffect, useMemo, useState } from "react";
import { sentenceOf } from "../api/errors";
import type { LandmarkPreview } from "../api/replies";
import { useCaseState } from "../case/case-context";
import { useService } from "../case/service-context";
import { NewestOnly } from "../state/newest-only";
import type { Triple } from "../viewer/scene";
import { named } from "../words/words";
import { useResults } from "./use-viewer";

/** A landmark that is dragged or stepped, and what the limb frame becomes with it there. */
export interface HeldLandmark {
  readonly name: string;
  readonly preview: LandmarkPreview | null;
  readonly problem: string | null;
}

/** Follows a landmark while it is held; what it tells stays until the limb is captured with it. */
export function useHeldLandmark(): {
  readonly held: HeldLandmark | null;
  readonly hold: (name: string, at: Triple | null) => void;
} {
  const service = useService();
  const { id, refusal } = useCaseState();
  const limb = useResults("capture");
  const [held, setHeld] = useState<HeldLandmark | null>(null);
  const newest = useMemo(() => {
    const made: NewestOnly = new NewestOnly(async (key) => {
      const { name, at } = heldOf(key);
      const next = await service
        .landmarkPreview(id, name, at)
        .then((preview): HeldLandmark => ({ name, preview, problem: null }))
        .catch((error: unknown): HeldLandmark => {
          return { name, preview: null, problem: sentenceOf(error) };
        });
      // While one landmark is moved every answer is shown, and none of one that was let go.
      setHeld(made.now !== null && heldOf(made.now).name === name ? next : null);
    });
    return made;
  }, [service, id]);
  useEffect(() => () => newest.drop(), [newest]);
  const letGo = (): void => {
    newest.drop();
    setHeld(null);
  };
  // biome-ignore lint/correctness/useExhaustiveDependencies: another limb or a refusal is the occasion
  useEffect(letGo, [limb, refusal]);
  const hold = (name: string, at: Triple | null): void => {
    if (at === null) {
      letGo();
      return;
    }
    void newest.want(JSON.stringify({ name, at }));
  };
  return { held, hold };
}

function heldOf(key: string): { readonly name: string; readonly at: Triple } {
  return JSON.parse(key) as { name: string; at: Triple };
}

const SAME_MM = 0.05;
const SAME_DEG = 0.05;

/** "Fibular head here: zero level 3.1 mm lower, long axis tilted by 1.2°; 142.0 mm of limb below." */
export function heldWords(
  { name, preview, problem }: HeldLandmark,
  text: (mm: number) => string,
): string {
  if (problem !== null || preview === null) {
    return problem ?? "";
  }
  const { lower_mm, tilt_deg, turn_deg, length_below_datum_mm } = preview;
  const told = [
    Math.abs(lower_mm) < SAME_MM
      ? ""
      : `zero level ${text(Math.abs(lower_mm))} ${lower_mm > 0 ? "lower" : "higher"}`,
    tilt_deg < SAME_DEG ? "" : `long axis tilted by ${tilt_deg.toFixed(1)}°`,
    Math.abs(turn_deg) < SAME_DEG
      ? ""
      : `front turned by ${Math.abs(turn_deg).toFixed(1)}° ${turn_deg > 0 ? "medially" : "laterally"}`,
  ].filter((words) => words !== "");
  const change = told.length === 0 ? "the frame stays as it is" : told.join(", ");
  return `${named(name)} here: ${change}; ${text(length_below_datum_mm)} of limb below zero.`;
}
