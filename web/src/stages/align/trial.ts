/** A foot tried elsewhere: shown and computed, and stored only when it is set or kept. Pure. */

import type { AlignPlan } from "../../api/document";
import type { Alignment, PhaseMoments } from "../../api/results";
import { mm } from "../../units/quantities";

export interface Trial {
  readonly forward: number;
  readonly outward: number;
}

/** Nothing wanted of the foot. */
export const NO_WISH = {
  wanted_forward_mm: mm(0),
  wanted_outward_mm: mm(0),
  wanted_foot_flexion_deg: 0,
  wanted_foot_adduction_deg: 0,
  wanted_up_mm: null,
  wanted_toe_out_deg: null,
  wanted_coronal_n_m: null,
  wanted_sagittal_n_m: null,
} as Partial<AlignPlan>;

/** A tried place as a wish; it takes the place of wanted moments. */
export function wishOf(trial: Trial): Partial<AlignPlan> {
  return {
    wanted_forward_mm: mm(trial.forward),
    wanted_outward_mm: mm(trial.outward),
    wanted_coronal_n_m: null,
    wanted_sagittal_n_m: null,
  };
}

/** Entries of a wish for the foot's place, with unit of storage and both ways. */
const SHIFTS: readonly (readonly [keyof AlignPlan, string, string, string])[] = [
  ["wanted_forward_mm", "mm", "forward", "back"],
  ["wanted_outward_mm", "mm", "outward", "inward"],
  ["wanted_up_mm", "mm", "up", "down"],
  ["wanted_foot_flexion_deg", "°", "toes up", "toes down"],
  ["wanted_foot_adduction_deg", "°", "outer border up", "outer border down"],
  ["wanted_toe_out_deg", "°", "toes outward", "toes inward"],
];
const MOMENTS: readonly (readonly [keyof AlignPlan, string])[] = [
  ["wanted_coronal_n_m", "a coronal moment"],
  ["wanted_sagittal_n_m", "a sagittal moment"],
];

/** What is wanted of the foot, in the units of storage: "14 mm outward, 3 ° toes outward". */
export function wishWords(wanted: Partial<AlignPlan>): string {
  const shifts = SHIFTS.flatMap(([name, unit, more, less]) => {
    const value = wishedFor(wanted, name) ? Number(wanted[name]) : 0;
    return value === 0 ? [] : [`${rounded(Math.abs(value))} ${unit} ${value > 0 ? more : less}`];
  });
  const moments = MOMENTS.flatMap(([name, words]) =>
    wishedFor(wanted, name) ? [`${words} of ${rounded(Number(wanted[name]))} N·m`] : [],
  );
  return [...shifts, ...moments].join(", ");
}

export function hasWish(align: Partial<AlignPlan>): boolean {
  return Object.keys(NO_WISH).some((name) => wishedFor(align, name as keyof AlignPlan));
}

/** A moment of nothing is a wish like any other. */
function wishedFor(align: Partial<AlignPlan>, name: keyof AlignPlan): boolean {
  return (align[name] ?? NO_WISH[name]) !== NO_WISH[name];
}

function rounded(value: number): string {
  return (Math.round(10 * value) / 10).toString();
}

export type Plane = "coronal_n_m" | "sagittal_n_m";
const EFFECTS = [
  { name: "foot out", part: "outward" },
  { name: "foot forward", part: "forward" },
] as const;

/** A moment at the datum as the leg stands and with the foot tried elsewhere; moments are linear
 * in the foot's shift, so that the engine's own small changes tell it at once. */
export function triedMoment(
  alignment: Alignment,
  phase: string,
  plane: Plane,
  trial: Trial,
): readonly [number, number] | null {
  const of = (moments: readonly PhaseMoments[] | undefined): number | undefined =>
    moments?.find((one) => one.place === "datum" && one.phase === phase)?.[plane];
  const before = of(alignment.effects[0]?.before);
  if (before === undefined) {
    return null;
  }
  let after = before;
  for (const { name, part } of EFFECTS) {
    const effect = alignment.effects.find((one) => one.name === name);
    const end = of(effect?.after);
    if (effect !== undefined && end !== undefined) {
      after += ((end - before) / effect.amount) * trial[part];
    } else if (trial[part] !== 0) {
      return null;
    }
  }
  return [before, after];
}
