import { useRef } from "react";
import type { Finding } from "../api/results";
import { countOf } from "../case/findings-shown";
import { isOpen } from "../words/severity-order";
import { counted } from "../words/words";
import { FindingItem, findingKey } from "./finding-item";

/** Findings of one stage inside its panel: what is to be looked at, and the others on demand. */
export function FindingList({ findings }: { findings: readonly Finding[] }) {
  const head = useRef<HTMLHeadingElement>(null);
  // An accepted finding goes to the others: the focus stays in the list that it left.
  const onSaid = (): void => head.current?.focus({ preventScroll: true });
  if (findings.length === 0) {
    return null;
  }
  const first = findings.filter(isOpen);
  const others = findings.filter((finding) => !isOpen(finding));
  return (
    <section className="block" aria-label="Findings of this stage">
      <h3 ref={head} tabIndex={-1}>
        Findings here
      </h3>
      {first.length === 0 ? <p className="quiet">Nothing to look at first.</p> : null}
      <Items findings={first} onSaid={onSaid} />
      {others.length === 0 ? null : (
        <details className="more">
          <summary>{othersWords(others)}</summary>
          <Items findings={others} onSaid={onSaid} />
        </details>
      )}
    </section>
  );
}

/** "1 accepted, 3 notes, 2 that hold": counted as in the strip of all findings. */
function othersWords(others: readonly Finding[]): string {
  const accepted = countOf(others, "accepted");
  const notes = countOf(others, "note");
  const hold = countOf(others, "ok");
  const parts = [
    ...(accepted === 0 ? [] : [`${accepted.toString()} accepted`]),
    ...(notes === 0 ? [] : [counted(notes, "note")]),
    ...(hold === 0 ? [] : [counted(hold, "that holds", "that hold")]),
  ];
  return parts.join(", ");
}

function Items({ findings, onSaid }: { findings: readonly Finding[]; onSaid: () => void }) {
  return (
    <ul className="findings-here">
      {findings.map((finding) => (
        <FindingItem key={findingKey(finding)} finding={finding} onSaid={onSaid} />
      ))}
    </ul>
  );
}
