/** Finds what a step speaks of on the page and leads to it. */

/** A field or a button of the page, by the words that stand on it. */
export interface Entry {
  readonly kind: "field" | "button";
  readonly words: string;
}

/** Where entries stand: the stage's panel, the picture's controls and the bar above. */
const PLACES = [".panel", ".limb-view", ".top-bar"];

/** The first of the entries that is there and can be used; null when none is. */
export function findEntry(entries: readonly Entry[], root: ParentNode): HTMLElement | null {
  for (const entry of entries) {
    for (const place of PLACES) {
      const within = root.querySelector(place);
      const found = within === null ? null : lookedUp(entry, within);
      if (found !== null) {
        return found;
      }
    }
  }
  return null;
}

function lookedUp({ kind, words }: Entry, within: Element): HTMLElement | null {
  if (kind === "button") {
    const buttons = [...within.querySelectorAll("button")];
    return buttons.find((one) => !one.disabled && one.textContent.startsWith(words)) ?? null;
  }
  const labels = [...within.querySelectorAll("label")];
  return labels.find((one) => one.textContent.trim() === words)?.control ?? null;
}

/** Bring an entry into sight, outline it until it loses the focus, and put the focus on it. */
export function showEntry(entry: HTMLElement): void {
  for (let at = entry.closest("details"); at !== null; ) {
    at.open = true;
    at = at.parentElement?.closest("details") ?? null;
  }
  entry.scrollIntoView({ block: "center" });
  entry.focus({ preventScroll: true });
  entry.setAttribute("data-shown", "");
  entry.addEventListener("blur", () => entry.removeAttribute("data-shown"), { once: true });
}
