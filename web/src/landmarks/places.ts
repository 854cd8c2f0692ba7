/** Where each landmark lies in the drawings of the limb, and how fingers find it. */

import type { Side } from "../api/document";

export type DrawnView = "front" | "outer" | "back" | "inner";

export interface LandmarkPlace {
  readonly view: DrawnView;
  /** In the drawing of a right limb. */
  readonly at: readonly [x: number, y: number];
  readonly how: string;
}

export const DRAWING = { width: 120, height: 190 } as const;

export const VIEW_WORDS: Readonly<Record<DrawnView, string>> = {
  front: "from the front",
  outer: "from the outer side",
  back: "from the back",
  inner: "from the inner side",
};

/** What lies to the left and to the right of a right limb in each drawing. */
const ENDS: Readonly<Record<DrawnView, readonly [string, string]>> = {
  front: ["outer", "inner"],
  outer: ["back", "front"],
  back: ["inner", "outer"],
  inner: ["front", "back"],
};

export const LANDMARK_PLACES: Readonly<Record<string, LandmarkPlace>> = {
  mid_patellar_tendon: {
    view: "front",
    at: [60, 76],
    how: "With the knee a little bent, the firm band between the patella’s lower pole and the tibial tubercle; the mark stands half way along it.",
  },
  patella_lower_pole: {
    view: "front",
    at: [60, 65],
    how: "With the thigh relaxed, follow the patella’s edges down with thumb and finger to where they meet in a point.",
  },
  tibial_tubercle: {
    view: "front",
    at: [60, 88],
    how: "Slide down the patellar tendon to the bony bump on the shin where it ends; take the bump’s most prominent point.",
  },
  medial_tibial_flare: {
    view: "inner",
    at: [51, 88],
    how: "Lay the flat of the fingers on the inner side just below the knee: the broad, gently sloping plate of bone that widens upwards. Take its middle.",
  },
  lateral_tibial_tubercle: {
    view: "front",
    at: [43, 79],
    how: "From the tibial tubercle go up and outward: the smaller bony bump about half way to the fibular head.",
  },
  fibular_head: {
    view: "outer",
    at: [50, 83],
    how: "The round knob on the outer side below the knee, behind the middle; the tendon at the knee’s outer back leads down to it. Press lightly: a nerve runs just below it.",
  },
  crest_upper: {
    view: "front",
    at: [60, 117],
    how: "Run a finger down from the tubercle along the shin’s sharp front edge; take the edge about two fifths of the way from the patellar tendon to the limb’s end.",
  },
  crest_lower: {
    view: "front",
    at: [61, 143],
    how: "Further down the same sharp edge, about seven tenths of the way to the limb’s end, before the bone stops.",
  },
  distal_tibia: {
    view: "front",
    at: [61, 157],
    how: "Follow the shin’s edge to where the bone stops: the front rim of the tibia’s cut end. It may be tender; press gently.",
  },
  distal_fibula: {
    view: "outer",
    at: [55, 145],
    how: "Follow the outer side down from the fibular head, pressing gently; take the lowest point where a bone is felt, usually a little above the tibia’s end.",
  },
  limb_end: {
    view: "front",
    at: [60, 177],
    how: "The lowest point of the soft tissue with the limb hanging relaxed. Nothing has to be felt for.",
  },
  medial_hamstring_tendon: {
    view: "back",
    at: [37, 70],
    how: "Let the person bend the knee against your hand: the cords that stand out at the back on the inner side, at the level of the patellar tendon.",
  },
  lateral_hamstring_tendon: {
    view: "back",
    at: [84, 70],
    how: "Let the person bend the knee against your hand: the single cord that stands out at the back on the outer side and runs down to the fibular head.",
  },
  popliteal_centre: {
    view: "back",
    at: [60, 76],
    how: "With the knee a little bent, the middle of the soft hollow behind it, between the tendons, at the level of the patellar tendon. Press lightly: vessels and nerves run here.",
  },
  medial_epicondyle: {
    view: "inner",
    at: [62, 55],
    how: "The most prominent point of the thigh bone’s end on the inner side of the knee, beside the patella and above the joint’s gap.",
  },
  lateral_epicondyle: {
    view: "outer",
    at: [60, 55],
    how: "The most prominent point of the thigh bone’s end on the outer side of the knee, above the fibular head and above the joint’s gap.",
  },
};

/** Where a mark stands in the drawing of a limb of this side: a left one is a right one mirrored. */
export function markAt({ at: [x, y] }: LandmarkPlace, side: Side): readonly [number, number] {
  return [side === "right" ? x : DRAWING.width - x, y];
}

/** What lies to the left and to the right in the drawing of a limb of this side. */
export function endsOf(view: DrawnView, side: Side): readonly [string, string] {
  const [left, right] = ENDS[view];
  return side === "right" ? [left, right] : [right, left];
}
