import { useState } from "react";
import type { Finding, Severity, StageName } from "../api/results";
import { BasisBadge } from "../components/basis-badge";
import { FoundValue } from "../components/finding-values";
import { SeverityMark } from "../components/severity-mark";
import { caseAddress } from "../route";
import { counted, SEVERITY_WORDS, stageTitle } from "../words/words";
import { useCaseState } from "./case-context";

const ORDER: readonly Severity[] = ["stop", "not established", "warning", "note", "ok"];

/** Everything that the stages have to say, worst first. */
export function FindingsStrip() {
  const { findings, evaluated } = useCaseState();
  const [open, setOpen] = useState(true);
  return (
    <section className={`findings-strip${open ? "" : " folded"}`} aria-labelledby="findings-title">
      <header>
        <h2 id="findings-title">Findings</h2>
        <ul className="finding-counts">
          {ORDER.map((severity) => {
            const count = findings.filter((one) => one.severity === severity).length;
            return count === 0 ? null : (
              <li key={severity} title={SEVERITY_WORDS[severity]}>
                <SeverityMark severity={severity} words /> {count}
              </li>
            );
          })}
        </ul>
        <button type="button" aria-expanded={open} onClick={() => setOpen(!open)}>
          {open ? "Fold" : `Show ${counted(findings.length, "finding")}`}
        </button>
      </header>
      {open ? <FindingTable findings={findings} waiting={evaluated === null} /> : null}
    </section>
  );
}

function FindingTable({ findings, waiting }: { findings: readonly Finding[]; waiting: boolean }) {
  if (findings.length === 0) {
    return <p className="quiet">{waiting ? "Computing …" : "No stage has anything to say."}</p>;
  }
  return (
    <div className="finding-scroll">
      <table className="finding-table">
        <thead>
          <tr>
            <th scope="col">Weight</th>
            <th scope="col">Finding</th>
            <th scope="col" className="number">
              Value
            </th>
            <th scope="col" className="number">
              Limit
            </th>
            <th scope="col">Rests on</th>
            <th scope="col">Source of the limit</th>
          </tr>
        </thead>
        <tbody>
          {findings.map((finding) => (
            <FindingRow
              key={`${finding.stage} ${finding.code} ${finding.where} ${finding.text}`}
              finding={finding}
            />
          ))}
        </tbody>
      </table>
    </div>
  );
}

function FindingRow({ finding }: { finding: Finding }) {
  const { id, stages } = useCaseState();
  const stale = stages[finding.stage as StageName]?.kind === "stale";
  return (
    <tr className={stale ? "stale" : undefined}>
      <td>
        <SeverityMark severity={finding.severity} words />
        <a className="finding-stage" href={caseAddress(id, finding.stage)}>
          {stageTitle(finding.stage)}
        </a>
      </td>
      <td>{finding.text}</td>
      <td className="number">
        <FoundValue finding={finding} of="value" />
      </td>
      <td className="number">
        <FoundValue finding={finding} of="limit" />
      </td>
      <td>
        <BasisBadge basis={finding.basis} />
      </td>
      <td className="source">{finding.source ?? <span className="none">–</span>}</td>
    </tr>
  );
}
