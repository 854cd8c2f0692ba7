/** How a stored value is shown. Everything is stored in mm, kg and m/s; inch, lb and mph are for the eye. */

export interface UnitChoice {
  readonly length: "mm" | "inch";
  readonly mass: "kg" | "lb";
}

export const METRIC: UnitChoice = { length: "mm", mass: "kg" };

export const MM_PER_INCH = 25.4;
export const KG_PER_LB = 0.45359237;
/** Exactly: a mile of 1609.344 m in an hour. A treadmill and a person who is asked speak of mph. */
const M_S_PER_MPH = 0.44704;
const MM2_PER_CM2 = 100;
const MM2_PER_SQUARE_INCH = MM_PER_INCH * MM_PER_INCH;

/** How one unit of storage is shown: shown value = stored value / `size`. */
export interface Shown {
  readonly label: string;
  readonly size: number;
  /** Digits that the shown unit needs beyond those of the stored one, to lose nothing visible. */
  readonly moreDigits: number;
}

const AS_STORED: Record<string, string> = {
  deg: "°",
  degC: "°C",
  degree: "°",
  degrees: "°",
  cm2: "cm²",
  mm2: "mm²",
  mm3: "mm³",
  n_m: "N·m",
  "N m": "N·m",
  "N mm": "N·mm",
  percent: "%",
};

/** The unit in which a stored unit is shown under a choice. */
export function shownUnit(stored: string, choice: UnitChoice): Shown {
  const inches = choice.length === "inch";
  switch (stored) {
    case "mm":
      return inches
        ? { label: "in", size: MM_PER_INCH, moreDigits: 1 }
        : { label: "mm", size: 1, moreDigits: 0 };
    case "kg":
      return choice.mass === "lb"
        ? { label: "lb", size: KG_PER_LB, moreDigits: 0 }
        : { label: "kg", size: 1, moreDigits: 0 };
    case "m/s":
      return inches
        ? { label: "mph", size: M_S_PER_MPH, moreDigits: 0 }
        : { label: "m/s", size: 1, moreDigits: 0 };
    case "mm2":
    case "mm²":
      return inches
        ? { label: "in²", size: MM2_PER_SQUARE_INCH, moreDigits: 0 }
        : { label: "cm²", size: MM2_PER_CM2, moreDigits: 0 };
    case "cm2":
    case "cm²":
      return inches
        ? { label: "in²", size: MM2_PER_SQUARE_INCH / MM2_PER_CM2, moreDigits: 0 }
        : { label: "cm²", size: 1, moreDigits: 0 };
    default:
      return { label: AS_STORED[stored] ?? stored, size: 1, moreDigits: 0 };
  }
}

/** Digits after the point for a stored unit, where a place asks for none in particular. */
export function usualDigits(stored: string): number {
  switch (stored) {
    case "N":
    case "kPa":
    case "ml":
    case "%":
      return 0;
    case "":
    case "m/s":
      return 2;
    default:
      return 1;
  }
}

/**
 * Digits after the point once the shown unit's own need is added; inches and miles an hour never
 * below two, square inches one.
 */
export function digitsShown(stored: string, digits: number, choice: UnitChoice): number {
  const shown = shownUnit(stored, choice);
  if (shown.label === "in²") {
    return Math.max(1, digits);
  }
  const fewest = shown.label === "in" || shown.label === "mph" ? 2 : 0;
  return Math.max(fewest, digits + shown.moreDigits);
}

/** A number without its unit, as it stands in tables; "−" for the sign. */
export function numberText(
  value: number,
  stored: string,
  choice: UnitChoice,
  digits: number = usualDigits(stored),
): string {
  const shown = shownUnit(stored, choice);
  return figure(value / shown.size, digitsShown(stored, digits, choice));
}

/** A number with its unit: "12.5 mm", "−3.0°", "0.49 in". */
export function quantityText(
  value: number,
  stored: string,
  choice: UnitChoice,
  digits: number = usualDigits(stored),
): string {
  const { label } = shownUnit(stored, choice);
  const number = numberText(value, stored, choice, digits);
  if (label === "") {
    return number;
  }
  // A no-break space: a value and its unit never part at the end of a line.
  return label === "°" ? `${number}°` : `${number}\u00a0${label}`;
}

/** A count that may be large, as the engine writes it: "12,345", whatever the browser speaks. */
export function grouped(count: number): string {
  return count.toLocaleString("en-GB");
}

/**
 * A walking speed in the chosen unit, and in m/s where that is another: figures to hold it against
 * are published in m/s.
 */
export function speedText(value: number, choice: UnitChoice, digits?: number): string {
  const shown = quantityText(value, "m/s", choice, digits);
  const stored = quantityText(value, "m/s", METRIC, digits);
  return shown === stored ? shown : `${shown} (${stored})`;
}

/** Digits for a value whose size is not known beforehand: about three figures, none idle. */
export function fittingDigits(value: number): number {
  const size = Math.abs(value);
  if (Number.isInteger(value) || size >= 100) {
    return 0;
  }
  return size >= 10 ? 1 : 2;
}

/** The same for figures that are read side by side: as many digits as the finest needs. */
export function sharedDigits(values: readonly (number | null)[]): number {
  return Math.max(0, ...values.map((value) => (value === null ? 0 : fittingDigits(value))));
}

/** A number that is in the shown unit already, with so many digits: "−3.0", and never "−0". */
export function figure(value: number, digits: number): string {
  const text = value.toFixed(digits);
  const zero = /^-0(\.0*)?$/.test(text);
  return zero ? text.slice(1) : text.replace("-", "−");
}
