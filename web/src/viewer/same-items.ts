/** Whether items of a scene are what is shown already: drawing costs, and a held mark stays put. */

/** Entries of an array that is compared one by one; a larger one is the same one or another. */
const SHORT = 3000;

export function sameItems(before: readonly object[], after: readonly object[]): boolean {
  return before.length === after.length && after.every((item, i) => sameItem(before[i], item));
}

function sameItem(before: object | undefined, after: object): boolean {
  const was: Readonly<Record<string, unknown>> = { ...before };
  const now = Object.entries(after);
  return (
    before !== undefined &&
    Object.keys(was).length === now.length &&
    now.every(([key, value]) => sameValue(was[key], value))
  );
}

function sameValue(before: unknown, after: unknown): boolean {
  if (Object.is(before, after)) {
    return true;
  }
  return (
    isList(before) &&
    isList(after) &&
    after.length <= SHORT &&
    before.length === after.length &&
    after.every((value, i) => value === before[i])
  );
}

function isList(value: unknown): value is readonly number[] | Float32Array {
  return Array.isArray(value) || value instanceof Float32Array;
}
