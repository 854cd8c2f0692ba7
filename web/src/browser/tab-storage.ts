/** What this browser tab keeps over a reload; a browser without room or leave for it keeps nothing. */

export function keepInTab(key: string, value: unknown): void {
  try {
    sessionStorage.setItem(key, JSON.stringify(value));
  } catch {
    // Whoever keeps something can do without it.
  }
}

/** What was kept under a key; null when nothing was, or nothing that can be read. */
export function keptInTab(key: string): unknown {
  try {
    const kept: unknown = JSON.parse(sessionStorage.getItem(key) ?? "null");
    return kept;
  } catch {
    return null;
  }
}

export function dropFromTab(key: string): void {
  try {
    sessionStorage.removeItem(key);
  } catch {
    // Nothing was kept then.
  }
}
