/** Names of the service's arrays that belong to a load case or an area. */

const PRESSURE = "pressure.";

export function pressureArray(loadCase: string): string {
  return `${PRESSURE}${loadCase}`;
}

export function earlierArray(loadCase: string): string {
  return `earlier.${loadCase}`;
}

/** Of the leg as it is only tried. */
export function triedArray(loadCase: string): string {
  return `tried.${loadCase}`;
}

export function areaArray(area: string): string {
  return `area.${area}.weight`;
}

/** The load case whose pressure is among the arrays, or null. */
export function loadCaseOf(names: ReadonlySet<string>): string | null {
  const name = [...names].find((one) => one.startsWith(PRESSURE));
  return name === undefined ? null : name.slice(PRESSURE.length);
}
