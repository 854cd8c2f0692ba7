import { useState } from "react";
import type { StageName } from "../api/results";
import { FindingItem, findingKey } from "../components/finding-item";
import { SeverityMark } from "../components/severity-mark";
import { useStageAddress } from "../route";
import { SEVERITIES } from "../words/severity-order";
import { counted, stageTitle } from "../words/words";
import { useCaseState } from "./case-context";

/** Everything that the stages have to say, worst first. */
export function FindingsStrip() {
  const { findings } = useCaseState();
  const [open, setOpen] = useState(true);
  return (
    <section className={`findings-strip${open ? "" : " folded"}`} aria-labelledby="findings-title">
      <header>
        <h2 id="findings-title">Findings</h2>
        <ul className="finding-counts">
          {SEVERITIES.map((severity) => {
            const count = findings.filter((one) => one.severity === severity).length;
            return count === 0 ? null : (
              <li key={severity}>
                <SeverityMark severity={severity} words /> {count}
              </li>
            );
          })}
        </ul>
        <button type="button" aria-expanded={open} onClick={() => setOpen(!open)}>
          {open ? "Fold" : `Show ${counted(findings.length, "finding")}`}
        </button>
      </header>
      {open ? <AllFindings /> : null}
    </section>
  );
}

function AllFindings() {
  const { id, findings, evaluated, stages } = useCaseState();
  const address = useStageAddress(id);
  if (findings.length === 0) {
    const words = evaluated === null ? "Computing …" : "No stage has anything to say.";
    return <p className="quiet">{words}</p>;
  }
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolled list must be reachable by key
    <ul className="all-findings" tabIndex={0} aria-label="All findings, worst first">
      {findings.map((finding) => (
        <FindingItem
          key={findingKey(finding)}
          finding={finding}
          stale={stages[finding.stage as StageName]?.kind === "stale"}
          stage={
            <a className="finding-stage" href={address(finding.stage)}>
              {stageTitle(finding.stage)}
            </a>
          }
        />
      ))}
    </ul>
  );
}
