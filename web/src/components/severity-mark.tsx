import type { Severity } from "../api/results";
import { SEVERITY_WORDS } from "../words/words";

/** A shape for each severity, so that colour is never needed to tell them apart. */
export function SeverityMark({ severity, words = false }: { severity: Severity; words?: boolean }) {
  const label = SEVERITY_WORDS[severity];
  return (
    <span className={`severity severity-${severity.replace(" ", "-")}`}>
      <svg viewBox="0 0 16 16" aria-hidden="true" focusable="false">
        {shape(severity)}
      </svg>
      <span className={words ? undefined : "unseen"}>{label}</span>
    </span>
  );
}

function shape(severity: Severity) {
  switch (severity) {
    case "stop":
      return (
        <>
          <path d="M5 1h6l4 4v6l-4 4H5l-4-4V5z" fill="currentColor" />
          <path d="M4.5 8h7" stroke="var(--raised)" strokeWidth="2.2" />
        </>
      );
    case "not established":
      return (
        <>
          <circle
            cx="8"
            cy="8"
            r="6.4"
            fill="none"
            stroke="currentColor"
            strokeWidth="1.6"
            strokeDasharray="3 2"
          />
          <text
            x="8"
            y="11.6"
            textAnchor="middle"
            fontSize="10"
            fontWeight="700"
            fill="currentColor"
          >
            ?
          </text>
        </>
      );
    case "warning":
      return (
        <>
          <path d="M8 1.2 15.2 14.4H.8z" fill="currentColor" />
          <path d="M8 5.4v4.4M8 11.2v1.6" stroke="var(--raised)" strokeWidth="1.7" />
        </>
      );
    case "note":
      return (
        <>
          <circle cx="8" cy="8" r="6.4" fill="none" stroke="currentColor" strokeWidth="1.6" />
          <path d="M8 7v5M8 4v1.8" stroke="currentColor" strokeWidth="1.8" />
        </>
      );
    case "ok":
      return (
        <path d="M2.4 8.6 6.2 12.4 13.6 4" fill="none" stroke="currentColor" strokeWidth="2.2" />
      );
  }
}
