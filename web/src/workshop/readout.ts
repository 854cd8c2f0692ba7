/** What the pointer reads on the limb, in words. */

import type { ArraySet } from "../api/client";
import type { Units } from "../units/units-context";
import { type Box, boxesOf, KEEPS_CLEAR, shared } from "../viewer/boxes";
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
const FINGERTIP_PX = 44;
/** To lie under the finger is worse by so much than to cover something. */
const UNDER_FINGER = 100;

interface Place {
  readonly x: number;
  readonly y: number;
}

/** Takes the reading away until another is told. */
export function hideReadout(box: HTMLElement | null): void {
  if (box !== null) {
    box.hidden = true;
  }
}

/** Captions that are seen, and what else the reading must not cover. */
const TAKEN = `[${KEEPS_CLEAR}]:not(.readout), .marker:not(.mute, .behind) > .marker-caption`;

/** Puts the reading beside what it was read at: inside the picture, and never under the finger. */
export function placeReadout(box: HTMLElement, at: Place, finger: boolean): void {
  const picture = box.offsetParent ?? document.body;
  const size = { wide: box.offsetWidth, high: box.offsetHeight };
  const most = {
    x: picture.clientWidth - size.wide - EDGE_PX,
    y: picture.clientHeight - size.high - EDGE_PX,
  };
  // A finger's reading stays; beside a pointer it goes with it, and is not worth a search.
  const taken = finger ? boxesOf(picture.parentElement ?? picture, TAKEN, picture) : [];
  const { x, y } = finger ? besideFinger(at, size, most, taken) : besidePointer(at, size, most);
  box.style.transform = `translate(${x.toFixed(0)}px, ${y.toFixed(0)}px)`;
}

interface Extent {
  readonly wide: number;
  readonly high: number;
}

function besidePointer(at: Place, { wide }: Extent, most: Place): Place {
  const right = at.x + BESIDE_POINTER.x;
  const x = right <= most.x ? right : at.x - BESIDE_POINTER.x - wide;
  return within({ x, y: at.y + BESIDE_POINTER.y }, most);
}

/**
 * Right or left of the lens, above it or below the finger: where it covers nothing else that
 * stands over the picture, or least of it.
 */
export function besideFinger(
  at: Place,
  { wide, high }: Extent,
  most: Place,
  taken: readonly Box[],
): Place {
  const y = at.y - ABOVE_FINGER_PX;
  const middle = at.x - wide / 2;
  const places = [
    { x: at.x + BESIDE_FINGER_PX, y },
    { x: at.x - BESIDE_FINGER_PX - wide, y },
    { x: at.x + BESIDE_FINGER_PX, y: at.y + BELOW_FINGER_PX },
    { x: at.x - BESIDE_FINGER_PX - wide, y: at.y + BELOW_FINGER_PX },
    { x: middle, y: at.y - ABOVE_LENS_PX - high },
    { x: middle, y: at.y + BELOW_FINGER_PX },
  ].map((place) => within(place, most));
  const tip = FINGERTIP_PX / 2;
  const under = { left: at.x - tip, right: at.x + tip, top: at.y - tip, bottom: at.y + tip };
  const boxAt = ({ x, y: top }: Place): Box => ({
    left: x,
    right: x + wide,
    top,
    bottom: top + high,
  });
  const covers = (place: Place): number =>
    UNDER_FINGER * shared(boxAt(place), under) +
    taken.reduce((sum, other) => sum + shared(boxAt(place), other), 0);
  return places.reduce((best, place) => (covers(place) < covers(best) ? place : best));
}

function within({ x, y }: Place, most: Place): Place {
  const inside = (value: number, limit: number): number =>
    Math.max(EDGE_PX, Math.min(limit, value));
  return { x: inside(x, most.x), y: inside(y, most.y) };
}
