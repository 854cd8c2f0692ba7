/** What two results have in common and what not, paired by name. Pure; computes no physics. */

import type { Check, Finding, Proof } from "../api/results";
import { conditionNumber, conditionOf } from "../words/check-words";
import { resultsOf, type Shown, type ShownPair } from "./shown";

/** A value on either side; null where that side has none. */
export interface Both<Value> {
  readonly before: Value | null;
  readonly after: Value | null;
}

export interface PressureRow {
  readonly area: string;
  readonly mean: Both<number>;
  readonly peak: Both<number>;
  readonly limit: Both<number>;
}

/** Pressures of each area under one load, of both sides. */
export function pressureRows(
  before: Proof | null,
  after: Proof | null,
  loadCase: string,
): PressureRow[] {
  const [first, second] = [before, after].map(
    (proof) => proof?.interface.cases.find((one) => one.load_case === loadCase)?.areas ?? [],
  );
  return paired(first ?? [], second ?? [], ({ area }) => area).map(({ key, before, after }) => ({
    area: key,
    mean: { before: before?.mean_kpa ?? null, after: after?.mean_kpa ?? null },
    peak: { before: before?.peak_kpa ?? null, after: after?.peak_kpa ?? null },
    limit: { before: before?.limit_kpa ?? null, after: after?.limit_kpa ?? null },
  }));
}

/** The loads that either side was computed under. */
export function loadCases(before: Proof | null, after: Proof | null): string[] {
  const names = [before, after].flatMap((proof) => proof?.interface.cases ?? []);
  return [...new Set(names.map((one) => one.load_case))];
}

export interface CheckRow {
  readonly name: string;
  readonly place: Both<string>;
  /** "P5 condition II"; "" where a check has none. */
  readonly condition: Both<string>;
  readonly margin: Both<number>;
  readonly required: Both<number>;
}

/**
 * Margins of one kind of check, of both sides. A check is known by its name, loading condition and
 * place; what is left of a name and condition is the weakest spot, which moved.
 */
export function checkRows(before: readonly Check[], after: readonly Check[]): CheckRow[] {
  const kind = (one: Check): string => `${one.name} ${conditionNumber(one)}`;
  const kinds = [...new Set([...before, ...after].map(kind))];
  return kinds.flatMap((name) => {
    const [first, second] = [before, after].map((all) => all.filter((one) => kind(one) === name));
    const pairs = paired(first ?? [], second ?? [], ({ place }) => place);
    const stayed = pairs.filter(({ before, after }) => before !== null && after !== null);
    const left = pairs.flatMap(({ before, after }) => (after === null && before ? [before] : []));
    const found = pairs.flatMap(({ before, after }) => (before === null && after ? [after] : []));
    const moved = paired(left, found, () => name);
    return [...stayed, ...moved].map(({ before, after }) => ({
      name: (before ?? after)?.name ?? name,
      condition: {
        before: before === null ? null : conditionOf(before),
        after: after === null ? null : conditionOf(after),
      },
      place: { before: before?.place ?? null, after: after?.place ?? null },
      margin: { before: before?.margin ?? null, after: after?.margin ?? null },
      required: {
        before: before?.required_margin ?? null,
        after: after?.required_margin ?? null,
      },
    }));
  });
}

export interface FigureRow {
  readonly name: string;
  readonly unit: string;
  readonly before: number | null;
  readonly after: number | null;
}

type Figures = Readonly<Record<string, readonly [number, string]>>;

/** Volumes, the parts' lengths, where foot and socket stand, and the screws' turns. */
export function figureRows({ before, after }: ShownPair): FigureRow[] {
  const [first, second] = [figuresOf(before), figuresOf(after)];
  const names = [...new Set([...Object.keys(first), ...Object.keys(second)])];
  return names.map((name) => ({
    name,
    unit: (first[name] ?? second[name])?.[1] ?? "",
    before: first[name]?.[0] ?? null,
    after: second[name]?.[0] ?? null,
  }));
}

function figuresOf(shown: Shown): Figures {
  const [shape, coupling, alignment] = [
    resultsOf(shown, "shape"),
    resultsOf(shown, "couple"),
    resultsOf(shown, "align"),
  ];
  return {
    ...(shape && {
      "Limb below the trim line’s lowest point": [shape.limb_volume_ml, "ml"],
      "Socket below the trim line’s lowest point": [shape.model_volume_ml, "ml"],
    }),
    ...(coupling && {
      "Tilt of the coupling": [coupling.seat.tilt_deg, "deg"],
      "Tube to be cut": [coupling.height.pylon_mm, "mm"],
    }),
    ...(alignment && {
      ...Object.fromEntries(
        Object.entries(alignment.settings).map(([name, [value, unit]]) => [name, [value, unit]]),
      ),
      ...Object.fromEntries(
        alignment.adjustment.turns.map(({ adapter, screw, turns }) => [
          `${adapter} adapter, ${screw} screw`,
          [turns, "turns"],
        ]),
      ),
    }),
  };
}

export interface FindingChanges {
  readonly came: readonly Finding[];
  readonly went: readonly Finding[];
  /** Said on both sides, but of another weight. */
  readonly weighs: readonly { readonly before: Finding; readonly after: Finding }[];
}

/** Findings that only one side has; a finding is known by its code and place. */
export function findingChanges(
  before: readonly Finding[],
  after: readonly Finding[],
): FindingChanges {
  const pairs = paired(before, after, ({ stage, code, where }) => `${stage} ${code} ${where}`);
  const both = pairs.flatMap(({ before, after }) =>
    before === null || after === null ? [] : [{ before, after }],
  );
  return {
    came: pairs.flatMap(({ before, after }) => (before === null && after ? [after] : [])),
    went: pairs.flatMap(({ before, after }) => (after === null && before ? [before] : [])),
    weighs: both.filter(({ before, after }) => before.severity !== after.severity),
  };
}

/** Entries of two lists by their key, in the order of the first and then of the second. */
function paired<Item>(
  before: readonly Item[],
  after: readonly Item[],
  keyOf: (item: Item) => string,
): { key: string; before: Item | null; after: Item | null }[] {
  const [first, second] = [before, after].map((items) => keyed(items, keyOf));
  const keys = [...new Set([...(first?.keys() ?? []), ...(second?.keys() ?? [])])];
  return keys.map((key) => ({
    key: key.replace(/#\d+$/, ""),
    before: first?.get(key) ?? null,
    after: second?.get(key) ?? null,
  }));
}

/** What comes several times under one key is told apart by how many came before. */
function keyed<Item>(
  items: readonly Item[],
  keyOf: (item: Item) => string,
): ReadonlyMap<string, Item> {
  const counts = new Map<string, number>();
  return new Map(
    items.map((item) => {
      const key = keyOf(item);
      const count = counts.get(key) ?? 0;
      counts.set(key, count + 1);
      return [`${key}#${count.toString()}`, item];
    }),
  );
}
