/** The first things that the Tab key reaches: past the stages, straight to a part of the bench. */
const PARTS = [
  { label: "To the limb", at: ".canvas-host" },
  { label: "To the panel", at: "main.panel" },
  { label: "To the findings", at: ".findings-strip [tabindex='0'], #findings-title" },
] as const;

export function SkipLinks() {
  return (
    <nav className="skip-links" aria-label="Skip to">
      {PARTS.map(({ label, at }) => (
        <button
          key={label}
          type="button"
          onClick={() => document.querySelector<HTMLElement>(at)?.focus()}
        >
          {label}
        </button>
      ))}
    </nav>
  );
}
