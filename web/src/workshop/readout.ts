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
