import type { Finding } from "../../api/results";
import { caseAddress } from "../../browser/route";
import { useCaseState } from "../../case/case-context";
import { findingKey } from "../../components/finding-item";
import { FindingText } from "../../components/said";
import { SeverityMark } from "../../components/severity-mark";
import { givesWay, isOpen, TO_ANSWER } from "../../words/severity-order";
import { counted, stageTitle } from "../../words/words";

const WORST = 3;

/** What the case says before it is made: what stops it, what is open, and what was accepted. */
export function OpenPoints() {
  const { findings } = useCaseState();
  const stops = findings.filter(({ severity }) => severity === "stop");
  const doubts = findings.filter(
    ({ severity }) => severity !== "stop" && TO_ANSWER.includes(severity),
  );
  const open = leading(doubts.filter(isOpen));
  const accepted = doubts.filter((finding) => !isOpen(finding));
  return (
    <>
      {stops.length === 0 ? null : (
        <div className="refusal">
          <p className="refusal-head">Findings stop this job.</p>
          <Points findings={stops} />
        </div>
      )}
      {open.length === 0 ? (
        <p className="remark">No warning is open and nothing is left not established.</p>
      ) : (
        <div className="open-points">
          <p>
            <b>{openWords(open)}</b>. They forbid nothing; the work order names them.
            {open.some(givesWay) ? " What does not hold by this estimate leads." : ""}
          </p>
          <Points findings={open.slice(0, WORST)} />
          {open.length > WORST ? (
            <p className="quiet">
              {(open.length - WORST).toString()} more in the list of findings below the limb.
            </p>
          ) : null}
        </div>
      )}
      {accepted.length === 0 ? null : (
        <details className="more">
          <summary>{counted(accepted.length, "finding")} accepted, with a reason</summary>
          <ul>
            {accepted.map((finding) => (
              <li key={findingKey(finding)}>
                <FindingText finding={finding} />{" "}
                <span className="quiet">Accepted: {finding.accepted}</span>
              </li>
            ))}
          </ul>
        </details>
      )}
    </>
  );
}

function Points({ findings }: { findings: readonly Finding[] }) {
  const { id } = useCaseState();
  return (
    <ul className="open-list">
      {findings.map((finding) => (
        <li key={findingKey(finding)}>
          <SeverityMark severity={finding.severity} />
          <span>
            <FindingText finding={finding} />{" "}
            <a href={caseAddress(id, finding.stage)}>to {stageTitle(finding.stage)}</a>
          </span>
        </li>
      ))}
    </ul>
  );
}

/** What would break or let go leads, as the service orders it; then everything else, likewise. */
export function leading(open: readonly Finding[]): readonly Finding[] {
  return [...open.filter(givesWay), ...open.filter((finding) => !givesWay(finding))];
}

/** "2 points are not established and 1 warning is open", in the right number. */
export function openWords(open: readonly Pick<Finding, "severity">[]): string {
  const unknown = open.filter(({ severity }) => severity === "not established").length;
  const warnings = open.length - unknown;
  const parts = [
    unknown === 0
      ? null
      : `${counted(unknown, "point")} ${unknown === 1 ? "is" : "are"} not established`,
    warnings === 0 ? null : `${counted(warnings, "warning")} ${warnings === 1 ? "is" : "are"} open`,
  ];
  return parts.filter((part) => part !== null).join(" and ");
}
