/** What the pointer reads on the limb, in words. */

import type { ArraySet } from "../state/array-store";
import type { Units } from "../units/units-context";
import type { Reading } from "../viewer/scene";
import { levelWords, named } from "../words/words";
import { areaAt, type Painting } from "./painting";

interface ReadoutParts {
  readonly painting: Painting | null;
  readonly arrays: ArraySet;
  readonly areas: readonly string[];
  readonly units: Units;
}

export function readingLines(reading: Reading, parts: ReadoutParts): string[] {
  const { painting, arrays, areas, units } = parts;
  const lines = [levelWords(-reading.point[2], (value, unit) => units.text(value, unit, 0))];
  const area = areaAt(arrays, areas, reading.vertex);
  if (area !== null) {
    lines.unshift(named(area));
  }
  if (painting !== null) {
    lines.unshift(valueWords(reading.value, painting, units));
  }
  return lines;
}

function valueWords(value: number | null, painting: Painting, units: Units): string {
  if (value === null) {
    return painting.of === undefined ? "No limit known here" : "Nothing established here";
  }
  if (painting.unit === "") {
    return `${Math.round(value * 100).toString()} % of ${painting.of ?? "the limit"}`;
  }
  if (painting.ends !== undefined && painting.unit === "kPa") {
    const size = units.text(Math.abs(value), "kPa");
    return `${size} ${value < 0 ? painting.ends.low : painting.ends.high}`;
  }
  if (painting.unit === "mm") {
    const size = units.text(Math.abs(value), "mm", 1);
    return value < 0 ? `${size} pressed in` : `${size} space added`;
  }
  return units.text(value, painting.unit);
}

const BESIDE_POINTER = { x: 16, y: 14 };
/** Clear of the finger and of the lens that stands above it. */
const BESIDE_FINGER_PX = 78;
const ABOVE_FINGER_PX = 120;
const EDGE_PX = 4;

/** Puts the reading beside what it was read at: inside the picture, and never under the finger. */
export function placeReadout(
  box: HTMLElement,
  at: { readonly x: number; readonly y: number },
  finger: boolean,
): void {
  const { clientWidth: width, clientHeight: height } = box.offsetParent ?? document.body;
  const { offsetWidth: wide, offsetHeight: high } = box;
  const right = at.x + (finger ? BESIDE_FINGER_PX : BESIDE_POINTER.x);
  const fits = right + wide + EDGE_PX <= width;
  const left = at.x - wide - (finger ? BESIDE_FINGER_PX : BESIDE_POINTER.x);
  const top = finger ? at.y - ABOVE_FINGER_PX : at.y + BESIDE_POINTER.y;
  const x = Math.max(EDGE_PX, fits ? right : left);
  const y = Math.max(EDGE_PX, Math.min(height - high - EDGE_PX, top));
  box.style.transform = `translate(${x.toFixed(0)}px, ${y.toFixed(0)}px)`;
}
