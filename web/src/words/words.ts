/** How names of the document and the results read on the page. */

import type { Basis, Severity, StageName } from "../api/results";

const SPECIAL: Readonly<Record<string, string>> = {
  mid_patellar_tendon: "Mid-patellar tendon",
  rest_of_wall: "Rest of the wall",
  tpe: "Thermoplastic elastomer",
  mm: "mm",
  cm: "cm",
  m: "m",
};

/** "medial_tibial_flare" as a person reads it: "Medial tibial flare". */
export function named(name: string): string {
  const special = SPECIAL[name.replaceAll(" ", "_")];
  if (special !== undefined) {
    return special;
  }
  return capitalised(name.replaceAll("_", " "));
}

/** Words as a sentence begins. */
export function capitalised(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

const STAGE_TITLES: Readonly<Record<StageName, string>> = {
  assess: "Assess",
  capture: "Capture",
  shape: "Shape",
  couple: "Couple",
  align: "Align",
  prove: "Prove",
  make: "Make",
  fit: "Fit",
};

export function stageTitle(name: string): string {
  return STAGE_TITLES[name as StageName] ?? named(name);
}

/** A count with its noun in the right number: "1 finding", "3 findings". */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count.toString()} ${count === 1 ? one : many}`;
}

export const SEVERITY_WORDS: Readonly<Record<Severity, string>> = {
  stop: "Stops the job",
  "not established": "Not established",
  warning: "Warning",
  note: "Note",
  ok: "Holds",
};

export const BASIS_WORDS: Readonly<Record<Basis, string>> = {
  measured: "Measured",
  given: "Given",
  estimated: "Estimated",
  guessed: "A guess",
  default: "Default",
};

/** The head of an engine's label, where its assumptions have no room: "First estimate". */
export function labelHead(label: string): string {
  const [head = ""] = label.split(":");
  return capitalised(head);
}

/** A level counted from the mid-patellar tendon, as said at the bench. */
export function levelWords(levelMm: number, text: (value: number, unit: string) => string): string {
  if (Math.abs(levelMm) < 0.5) {
    return "at the mid-patellar tendon";
  }
  const distance = text(Math.abs(levelMm), "mm");
  return levelMm > 0 ? `${distance} below MPT` : `${distance} above MPT`;
}

const DIRECTIONS = [
  "lateral",
  "anterior-lateral",
  "anterior",
  "anterior-medial",
  "medial",
  "posterior-medial",
  "posterior",
  "posterior-lateral",
] as const;

/** A direction around the limb, counted from outward towards the front, in the trade's words. */
export function directionWords(angleDeg: number): string {
  const eighth = Math.round(angleDeg / 45);
  return DIRECTIONS[((eighth % 8) + 8) % 8] ?? "lateral";
}
