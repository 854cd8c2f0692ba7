/** The first things that the Tab key reaches: past the stages, straight to a part of the bench. */
const PARTS = [
  { label: "To the limb", at: [".canvas-host"] },
  { label: "To the panel", at: ["main.panel"] },
  // The heading where the list is folded or empty.
  { label: "To the findings", at: [".all-findings [tabindex='0']", "#findings-title"] },
] as const;

export function SkipLinks() {
  return (
    <nav className="skip-links" aria-label="Skip to">
      {PARTS.map(({ label, at }) => (
        <button key={label} type="button" onClick={() => firstOf(at)?.focus()}>
          {label}
        </button>
      ))}
    </nav>
  );
}

function firstOf(selectors: readonly string[]): HTMLElement | undefined {
  return selectors
    .map((selector) => document.querySelector<HTMLElement>(selector))
    .find((part) => part !== null);
}
