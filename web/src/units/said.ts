/**
 * The engine's sentences in the chosen units. The engine writes lengths in mm, masses in kg and
 * speeds of walking in m/s, always as number, space, unit; a range or a pair shares the unit:
 * "4 to 6 mm", "30 by 2 mm".
 */

import {
  digitsShown,
  METRIC,
  numberText,
  quantityText,
  shownUnit,
  type UnitChoice,
} from "./display";

const NUMBER = "[-−+±]?\\d[\\d,]*(?:\\.\\d+)?";
const BETWEEN = " to | by | against ";
/** Squares, cubes and other rates are none of these: "12 mm²", "3 mm/s", "5 m/s²". */
const UNIT = "(mm|kg|m/s)(?![\\w²³/·])";
const ALONE = `((?:${NUMBER}(?:${BETWEEN})(?=\\D?\\d))*${NUMBER})[ \\u00a0]${UNIT}`;
const QUANTITY = new RegExp(`(?<![\\w.,])${ALONE}`, "g");
/** A step told with both its ends: "by 1.0 mm, from 4.0 to 5.0 mm". */
const ENDS = new RegExp(`^, from ${ALONE}`);
const ONE = new RegExp(NUMBER, "g");
/** A hyphen that stands for a minus, and none that joins words or figures: "-15 %", "0-60". */
const HYPHEN_FOR_MINUS = /(?<![\w.)])-(?=\d)/g;
const LEAST_FIGURES = 2;

/**
 * A sentence of the engine with its lengths, masses and speeds in the chosen units, and a true minus
 * before what is negative; as it stands in metric ones.
 *
 * `exact` are figures that the sentence tells rounded: what is their rounding is told from them, so
 * that it is rounded once and agrees with the same figure beside the sentence.
 */
export function inShownUnits(
  text: string,
  choice: UnitChoice,
  exact: readonly (number | null)[] = [],
): string {
  const sentence = text.replace(HYPHEN_FOR_MINUS, "−");
  return sentence.replace(QUANTITY, (found: string, numbers: string, unit: string, at: number) => {
    if (shownUnit(unit, choice).label === shownUnit(unit, METRIC).label) {
      return found;
    }
    const read = (some: string): Read[] =>
      [...some.matchAll(ONE)].map(([part]) => readNumber(part, exact));
    const parts = read(numbers);
    // A step has the digits of its ends, so that it is their difference as told.
    const [, ends, endUnit] = ENDS.exec(sentence.slice(at + found.length)) ?? [];
    const finest = ends !== undefined && endUnit === unit ? read(ends) : parts;
    const digits = Math.max(...finest.map((part) => digitsFor(part, unit, choice)));
    let index = 0;
    return numbers.replace(ONE, () => {
      const part = parts[index] as Read;
      index += 1;
      const write = index === parts.length ? quantityText : numberText;
      return part.sign + write(part.value, unit, choice, digits);
    });
  });
}

interface Read {
  /** "+" or "±", which a number does not carry itself. */
  readonly sign: string;
  readonly value: number;
  readonly decimals: number;
}

function readNumber(part: string, exact: readonly (number | null)[]): Read {
  const sign = /^[+±]/.test(part) ? part.charAt(0) : "";
  const plain = part.slice(sign.length).replaceAll(",", "").replace("−", "-");
  const decimals = plain.split(".")[1]?.length ?? 0;
  const rounded = Number(plain);
  const half = 0.5 * 10 ** -decimals * (1 + 1e-9);
  const known = exact.find(
    (one) => one !== null && Math.abs(Math.abs(one) - Math.abs(rounded)) <= half,
  );
  const size = Math.abs(known ?? rounded);
  return { sign, value: plain.startsWith("-") ? -size : size, decimals };
}

/** Digits of the stored unit that leave at least two figures in the shown one. */
function digitsFor({ value, decimals }: Read, unit: string, choice: UnitChoice): number {
  const shown = Math.abs(value) / shownUnit(unit, choice).size;
  if (shown === 0) {
    return decimals;
  }
  const needed = LEAST_FIGURES - 1 - Math.floor(Math.log10(shown));
  let digits = decimals;
  while (digitsShown(unit, digits, choice) < needed) {
    digits += 1;
  }
  return digits;
}
