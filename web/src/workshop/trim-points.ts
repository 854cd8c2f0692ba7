/** Control points of the trim line: where they stand, and what moving one means. Pure. */

import type { TrimPlan } from "../api/document";
import type { TrimName } from "../case/view-settings";
import { degrees, mm } from "../units/quantities";
import type { Triple } from "../viewer/scene";

const LOWEST_MM = -60;
const HIGHEST_MM = 120;

const SIDES = [
  { name: "anterior", field: "anterior_mm", angle: 90, label: "Anterior" },
  { name: "medial", field: "medial_mm", angle: 180, label: "Medial" },
  { name: "lateral", field: "lateral_mm", angle: 0, label: "Lateral" },
  { name: "posterior", field: "posterior_mm", angle: 270, label: "Posterior" },
] as const;

export interface TrimControl {
  readonly name: TrimName;
  readonly label: string;
  /** From outward towards the front. */
  readonly angleDeg: number;
  readonly heightMm: number;
}

export function trimControls(trim: TrimPlan): TrimControl[] {
  return [
    ...SIDES.map(({ name, field, angle, label }) => ({
      name,
      label,
      angleDeg: angle,
      heightMm: trim[field],
    })),
    ...trim.extra.map((point, i) => ({
      name: `extra${i}` as const,
      label: `Point ${(i + 1).toString()}`,
      angleDeg: point.angle_deg,
      heightMm: point.height_mm,
    })),
  ];
}

/** The point of the drawn line (limb frame, x y z in turn) that stands at a control's angle. */
export function onLine(line: Float32Array, outward: 1 | -1, angleDeg: number): Triple | null {
  const wanted = (angleDeg * Math.PI) / 180;
  let best: Triple | null = null;
  let nearest = Number.POSITIVE_INFINITY;
  for (let i = 0; i + 2 < line.length; i += 3) {
    const [x, y, z] = [line[i] ?? 0, line[i + 1] ?? 0, line[i + 2] ?? 0];
    const off = 1 - Math.cos(Math.atan2(y, outward * x) - wanted);
    if (off < nearest) {
      nearest = off;
      best = [x, y, z];
    }
  }
  return best;
}

/** The plan with one control point at another height; a further point goes around as well. */
export function movedTrim(
  trim: TrimPlan,
  name: TrimName,
  heightMm: number,
  angleDeg: number | null = null,
): TrimPlan {
  const height = mm(Math.round(Math.min(HIGHEST_MM, Math.max(LOWEST_MM, heightMm))));
  const side = SIDES.find((one) => one.name === name);
  if (side !== undefined) {
    return { ...trim, [side.field]: height };
  }
  const index = Number(name.slice("extra".length));
  return {
    ...trim,
    extra: trim.extra.map((point, i) =>
      i !== index
        ? point
        : {
            angle_deg: angleDeg === null ? point.angle_deg : degrees(Math.round(angleDeg)),
            height_mm: height,
          },
    ),
  };
}
