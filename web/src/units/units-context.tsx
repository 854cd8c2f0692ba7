import { createContext, type ReactNode, useContext, useMemo, useState } from "react";
import { METRIC, numberText, quantityText, shownUnit, type UnitChoice } from "./display";
import { inShownUnits } from "./said";

const KEPT_AS = "limbwright.units";

export interface Units {
  readonly choice: UnitChoice;
  readonly choose: (choice: UnitChoice) => void;
  /** A number with its unit. */
  readonly text: (value: number, unit: string, digits?: number) => string;
  /** A number alone, for a column whose head names the unit. */
  readonly number: (value: number, unit: string, digits?: number) => string;
  /** The unit's sign as shown. */
  readonly sign: (unit: string) => string;
  /** A sentence of the engine; `exact` are the figures that it tells rounded. */
  readonly said: (sentence: string, exact?: readonly (number | null)[]) => string;
}

const UnitsContext = createContext<Units | null>(null);

/** Gives the page its units of display; the choice is kept in this browser. */
export function UnitsProvider({ children }: { children: ReactNode }) {
  const [choice, setChoice] = useState<UnitChoice>(remembered);
  const units = useMemo<Units>(
    () => ({
      choice,
      choose: (next) => {
        remember(next);
        setChoice(next);
      },
      text: (value, unit, digits) => quantityText(value, unit, choice, digits),
      number: (value, unit, digits) => numberText(value, unit, choice, digits),
      sign: (unit) => shownUnit(unit, choice).label,
      said: (sentence, exact) => inShownUnits(sentence, choice, exact),
    }),
    [choice],
  );
  return <UnitsContext value={units}>{children}</UnitsContext>;
}

export function useUnits(): Units {
  const units = useContext(UnitsContext);
  if (units === null) {
    throw new Error("useUnits needs a UnitsProvider above it");
  }
  return units;
}

function remembered(): UnitChoice {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(KEPT_AS) ?? "null");
    if (typeof kept === "object" && kept !== null && "length" in kept && "mass" in kept) {
      return {
        length: kept.length === "inch" ? "inch" : "mm",
        mass: kept.mass === "lb" ? "lb" : "kg",
      };
    }
  } catch {
    // A browser that keeps nothing starts in metric units each time.
  }
  return METRIC;
}

function remember(choice: UnitChoice): void {
  try {
    localStorage.setItem(KEPT_AS, JSON.stringify(choice));
  } catch {
    // The choice then lasts as long as the page.
  }
}
