/** A place of the case document as a person reads it. */

import type { CaseDocument } from "../api/document";
import { capitalised, named } from "./words";

const UNITS = /_(mm|deg|kg|kpa|mpa|n|percent|m_s|c)$/;

/** "shape.areas[0].depth_mm" reads "Shape, patellar tendon, depth". */
export function placeWords(path: string, document: CaseDocument | null): string {
  const parts = path.replace(/\[(\w+)\]/g, ".$1").split(".");
  const words: string[] = [];
  parts.forEach((part, i) => {
    const number = Number(part);
    if (!Number.isInteger(number)) {
      words.push(named(part.replace(UNITS, "")).toLowerCase());
      return;
    }
    const area = parts[i - 1] === "areas" ? document?.shape.areas[number] : undefined;
    const plain = words.pop() ?? "";
    words.push(
      area === undefined ? `${plain} ${(number + 1).toString()}` : named(area.name).toLowerCase(),
    );
  });
  return capitalised(words.join(", "));
}
