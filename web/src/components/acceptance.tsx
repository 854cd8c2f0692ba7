import { type FormEvent, useId, useState } from "react";
import type { AcceptedFinding } from "../api/document";
import type { Finding } from "../api/results";
import { useDocument, useSession } from "../case/case-context";
import { FindingText } from "./said";

/** What stops the job is changed, not accepted; notes need no acceptance. */
const ACCEPTABLE: readonly string[] = ["warning", "not established"];
const SHORTEST_REASON = 3;

interface AcceptanceProps {
  readonly finding: Finding;
  readonly tab?: 0 | -1;
  /** Takes the focus on: what held it goes with what was said. */
  readonly onSaid: () => void;
}

/** Accepting a finding as it stands, with a reason that goes into the record; and taking it back. */
export function Acceptance({ finding, tab = 0, onSaid }: AcceptanceProps) {
  const session = useSession();
  const { accepted } = useDocument();
  const [asking, setAsking] = useState(false);
  const [left, setLeft] = useState(false);
  const [reason, setReason] = useState("");
  const id = useId();
  if (!ACCEPTABLE.includes(finding.severity)) {
    return null;
  }
  const others = accepted.filter((one) => !sameFinding(one, finding));
  const store = (kept: readonly AcceptedFinding[]): void => {
    onSaid();
    session.edit("accepted", (document) => ({ ...document, accepted: kept }));
  };
  if (finding.accepted !== "") {
    return (
      <p className="acceptance">
        Accepted: {finding.accepted}{" "}
        <button type="button" className="plain-button" tabIndex={tab} onClick={() => store(others)}>
          Withdraw
        </button>
      </p>
    );
  }
  if (!asking) {
    return (
      <button
        type="button"
        className="plain-button"
        tabIndex={tab}
        // biome-ignore lint/a11y/noAutofocus: gives back the focus that the entry held
        autoFocus={left}
        onClick={() => setAsking(true)}
      >
        Accept …
        <span className="unseen">
          {" "}
          <FindingText finding={finding} />
        </span>
      </button>
    );
  }
  const accept = (event: FormEvent): void => {
    event.preventDefault();
    const { stage, code, where, severity, value } = finding;
    store([...others, { stage, code, where, severity, value, reason: reason.trim() }]);
    setAsking(false);
    setLeft(false);
    setReason("");
  };
  return (
    <form className="acceptance" onSubmit={accept}>
      <label htmlFor={id}>Why it may stand as it is</label>
      <input
        id={id}
        // biome-ignore lint/a11y/noAutofocus: the person has just asked for this entry
        autoFocus
        autoComplete="off"
        maxLength={500}
        value={reason}
        onChange={(event) => setReason(event.target.value)}
      />
      <button type="submit" disabled={reason.trim().length < SHORTEST_REASON}>
        Accept
      </button>
      <button
        type="button"
        onClick={() => {
          setAsking(false);
          setLeft(true);
        }}
      >
        Leave open
      </button>
    </form>
  );
}

function sameFinding(one: AcceptedFinding, finding: Finding): boolean {
  return one.stage === finding.stage && one.code === finding.code && one.where === finding.where;
}
