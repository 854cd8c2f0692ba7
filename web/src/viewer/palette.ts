/** The viewer's colours, read from the style sheet so that light and dark are told once. */

import { Color } from "three";
import type { Finish } from "./scene";

export type Palette = Readonly<Record<Finish, Color>>;

const FINISHES: readonly Finish[] = [
  "skin",
  "shape",
  "bone",
  "model",
  "hardware",
  "trim",
  "leg",
  "plumb",
  "edge",
  "ghost",
  "push",
  "mark",
  "casing",
];

export function readPalette(host: Element): Palette {
  const style = getComputedStyle(host);
  const entries = FINISHES.map((finish) => {
    const value = style.getPropertyValue(`--finish-${finish}`).trim();
    return [finish, new Color(value === "" ? "#808080" : value)] as const;
  });
  return Object.fromEntries(entries) as Record<Finish, Color>;
}
