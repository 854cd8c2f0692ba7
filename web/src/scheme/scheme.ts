/**
 * Whether the page is light or dark: as chosen here, or as the system has it. What holds stands in
 * `data-scheme` at the root of the page, and the style sheet reads it there alone.
 */

import { useSyncExternalStore } from "react";

export type SchemeChoice = "system" | "light" | "dark";

const KEPT_AS = "limbwright.scheme";
const DARK = "(prefers-color-scheme: dark)";

let chosen: SchemeChoice = "system";
const watchers = new Set<() => void>();

/** Take up what was chosen in this browser, and follow the system from now on. */
export function startScheme(): void {
  chosen = remembered();
  matchMedia(DARK).addEventListener("change", apply);
  apply();
}

export function chooseScheme(choice: SchemeChoice): void {
  chosen = choice;
  try {
    localStorage.setItem(KEPT_AS, choice);
  } catch {
    // The choice then lasts as long as the page.
  }
  apply();
}

/** Be told after the page turned light or dark; gives the way to be told no longer. */
export function onScheme(watcher: () => void): () => void {
  watchers.add(watcher);
  return () => watchers.delete(watcher);
}

export function useSchemeChoice(): SchemeChoice {
  return useSyncExternalStore(onScheme, () => chosen);
}

function apply(): void {
  const system = matchMedia(DARK).matches ? "dark" : "light";
  document.documentElement.dataset.scheme = chosen === "system" ? system : chosen;
  for (const watcher of watchers) {
    watcher();
  }
}

function remembered(): SchemeChoice {
  try {
    const kept = localStorage.getItem(KEPT_AS);
    return kept === "light" || kept === "dark" ? kept : "system";
  } catch {
    return "system";
  }
}
