/** Where the limb is pushed and tilted in the socket, in words and as an arrow. Pure. */

import type { Point } from "../api/document";
import type { CasePressure } from "../api/results";

type Pose = CasePressure["pose"];
type Text = (value: number, unit: string, digits?: number) => string;

const LEAST_MM = 0.05;
const LEAST_DEG = 0.05;
/** A smaller part across is left out of the words: it is not where the limb goes. */
const FAIR_PART = 0.4;

/** A pose whose shift is that of one point of the limb, not of the frame's origin. */
export function poseAt({ shift_mm, turn_rad }: Pose, [x, y, z]: Point): Pose {
  const [a, b, c] = turn_rad;
  const [outward, forward, up] = shift_mm;
  return {
    turn_rad,
    shift_mm: [outward + b * z - c * y, forward + c * x - a * z, up + a * y - b * x],
  };
}

/** Pushed across the socket: "1.2 mm medially and posteriorly". */
export function pushWords({ shift_mm: [outward, forward] }: Pose, text: Text): string {
  const size = Math.hypot(outward, forward);
  if (size < LEAST_MM) {
    return "not pushed aside";
  }
  const ways = [
    { part: outward, word: outward > 0 ? "laterally" : "medially" },
    { part: forward, word: forward > 0 ? "anteriorly" : "posteriorly" },
  ].filter(
    ({ part }) => Math.abs(part) >= FAIR_PART * Math.max(...[outward, forward].map(Math.abs)),
  );
  return `pushed ${text(size, "mm", 1)} ${ways.map(({ word }) => word).join(" and ")}`;
}

/** Tilted about the axes across: "0.8°, lower end lateral". */
export function tiltWords({ turn_rad: [aboutOutward, aboutForward] }: Pose, text: Text): string {
  const degrees = (turn: number): number => (turn * 180) / Math.PI;
  const size = degrees(Math.hypot(aboutOutward, aboutForward));
  if (size < LEAST_DEG) {
    return "not tilted";
  }
  const way =
    Math.abs(aboutOutward) > Math.abs(aboutForward)
      ? aboutOutward > 0
        ? "anterior"
        : "posterior"
      : aboutForward > 0
        ? "medial"
        : "lateral";
  return `tilted ${text(size, "deg", 1)}, lower end ${way}`;
}

/** Sinking along the limb: "sinks 4.2 mm". */
export function sinkWords({ shift_mm: [, , up] }: Pose, text: Text): string {
  return `${up <= 0 ? "sinks" : "rises"} ${text(Math.abs(up), "mm", 1)}`;
}

/** Drawn so much longer than it is, that a millimetre is seen. */
const DRAWN_PER_MM = 8;
const SHORTEST_MM = 10;
const LONGEST_MM = 60;
const HEAD_MM = 6;
const FAR_MM = 200;

/**
 * An arrow that leaves the skin where the limb is pushed to, limb frame; null while it is not
 * pushed. Its length grows with the push.
 */
export function pushArrow(
  { shift_mm: [outward, forward] }: Pose,
  heightMm: number,
  onSkin: (at: Point) => Point,
): { readonly points: readonly Point[]; readonly tip: Point } | null {
  const size = Math.hypot(outward, forward);
  if (size < LEAST_MM) {
    return null;
  }
  const [x, y] = [outward / size, forward / size];
  const [skinX, skinY] = onSkin([x * FAR_MM, y * FAR_MM, heightMm]);
  const start = Math.hypot(skinX, skinY) + 4;
  const end = start + Math.min(LONGEST_MM, Math.max(SHORTEST_MM, DRAWN_PER_MM * size));
  const at = (far: number, aside: number, up = 0): Point => [
    x * far - y * aside,
    y * far + x * aside,
    heightMm + up,
  ];
  const tip = at(end, 0);
  const barb = (aside: number, up: number): Point => at(end - HEAD_MM, aside, up);
  return {
    tip,
    points: [
      at(start, 0),
      tip,
      barb(HEAD_MM / 2, 0),
      tip,
      barb(-HEAD_MM / 2, 0),
      tip,
      barb(0, HEAD_MM / 2),
      tip,
      barb(0, -HEAD_MM / 2),
    ],
  };
}
