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
  // The areas are places of the limb: another body's corners have other numbers.
  const area = reading.item === "made" ? null : areaAt(arrays, areas, reading.vertex);
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
    if (painting.paint.only !== undefined) {
      return "Thicker than a wall here, or not of the socket";
    }
    return painting.of === undefined ? "No limit known here" : "Nothing established here";
  }
  if (painting.says !== undefined) {
    return `${units.text(value, painting.unit, 1)} ${painting.says}`;
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
const ABOVE_LENS_PX = 190;
const BELOW_FINGER_PX = 50;
const EDGE_PX = 4;

interface Place {
  readonly x: number;
  readonly y: number;
}

/** Puts the reading beside what it was read at: inside the picture, and never under the finger. */
export function placeReadout(box: HTMLElement, at: Place, finger: boolean): void {
  const { clientWidth, clientHeight } = box.offsetParent ?? document.body;
  const most = {
    x: clientWidth - box.offsetWidth - EDGE_PX,
    y: clientHeight - box.offsetHeight - EDGE_PX,
  };
  const { x, y } = finger ? besideFinger(at, box, most) : besidePointer(at, box, most);
  const within = (value: number, limit: number): string =>
    Math.max(EDGE_PX, Math.min(limit, value)).toFixed(0);
  box.style.transform = `translate(${within(x, most.x)}px, ${within(y, most.y)}px)`;
}

function besidePointer(at: Place, { offsetWidth: wide }: HTMLElement, most: Place): Place {
  const right = at.x + BESIDE_POINTER.x;
  const x = right <= most.x ? right : at.x - BESIDE_POINTER.x - wide;
  return { x, y: at.y + BESIDE_POINTER.y };
}

/** Right or left of the lens; where the picture is too narrow, above it or below the finger. */
function besideFinger(
  at: Place,
  { offsetWidth: wide, offsetHeight: high }: HTMLElement,
  most: Place,
): Place {
  const right = at.x + BESIDE_FINGER_PX;
  const left = at.x - BESIDE_FINGER_PX - wide;
  const y = at.y - ABOVE_FINGER_PX;
  if (right <= most.x) {
    return { x: right, y };
  }
  if (left >= EDGE_PX) {
    return { x: left, y };
  }
  const above = at.y - ABOVE_LENS_PX - high;
  return { x: at.x - wide / 2, y: above >= EDGE_PX ? above : at.y + BELOW_FINGER_PX };
}
