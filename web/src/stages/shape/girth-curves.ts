/** Girths and take-up over the level as curves, in the units shown. Pure. */

import type { GirthChange, SocketShape } from "../../api/results";
import type { Series } from "../../components/line-chart";
import { shownUnit, type UnitChoice } from "../../units/display";

export interface GirthCurves {
  readonly levels: readonly number[];
  readonly girths: readonly Series[];
  readonly takeUp: readonly Series[];
  /** Stored mm in one unit shown. */
  readonly size: number;
}

export function girthCurves(
  shape: SocketShape,
  before: SocketShape | null,
  choice: UnitChoice,
): GirthCurves {
  const { size } = shownUnit("mm", choice);
  const { girths } = shape;
  const of = (read: (girth: GirthChange) => number): number[] => girths.map(read);
  const was = girths.flatMap(
    ({ level_mm }) => before?.girths.find((one) => Math.abs(one.level_mm - level_mm) < 0.5) ?? [],
  );
  // Without a change a second line would lie upon the first.
  const differs = was.some((one, i) => one.model_mm !== girths[i]?.model_mm);
  const earlier = (read: (girth: GirthChange) => number): Series[] =>
    was.length === girths.length && differs
      ? [{ name: "Before", values: was.map(read), style: 3 }]
      : [];
  const lined = girths.some(({ lined_mm, limb_mm }) => lined_mm !== limb_mm);
  return {
    size,
    levels: of(({ level_mm }) => level_mm / size),
    girths: [
      { name: "Socket", values: of(({ model_mm }) => model_mm / size), style: 1 },
      {
        name: lined ? "In liner" : "Limb",
        values: of(({ lined_mm }) => lined_mm / size),
        style: 2,
      },
      ...(lined
        ? [{ name: "Limb", values: of(({ limb_mm }) => limb_mm / size), style: 4 as const }]
        : []),
      ...earlier(({ model_mm }) => model_mm / size),
    ],
    takeUp: [
      { name: "Reached", values: of(reached), style: 1 },
      { name: "Asked", values: of(({ take_up_percent }) => take_up_percent), style: 2 },
      ...earlier(reached),
    ],
  };
}

/** By how much the socket is smaller around than what goes into it, percent. */
function reached({ lined_mm, model_mm }: GirthChange): number {
  return (100 * (lined_mm - model_mm)) / lined_mm;
}
