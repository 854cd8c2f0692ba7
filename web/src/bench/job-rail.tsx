import type { Finding, StageName } from "../api/results";
import { useStageAddress } from "../browser/route";
import { useCaseState, useInfo } from "../case/case-context";
import { countOf } from "../case/findings-shown";
import { SeverityMark } from "../components/severity-mark";
import { GuideLink } from "../guide/guide-link";
import type { StageState } from "../state/stage-state";
import { TO_ANSWER } from "../words/severity-order";
import { counted, stageTitle } from "../words/words";
import { stageKey, useStageKeys } from "../workshop/stage-keys";

/** The stages in the order of the job, each with its state and all findings that are open. */
export function JobRail({ stage }: { stage: string | null }) {
  const { stages } = useInfo();
  const state = useCaseState();
  const address = useStageAddress(state.id);
  useStageKeys();
  return (
    <nav className="job-rail" aria-label="Stages of the job">
      <ol>
        {stages.map(({ name, question }, index) => {
          const findings = state.findings.filter((finding) => finding.stage === name);
          const of = state.stages[name as StageName] as StageState<unknown> | undefined;
          return (
            <li key={name}>
              <a
                href={address(name)}
                aria-current={name === stage ? "page" : undefined}
                aria-keyshortcuts={stageKey(index + 1).replaceAll(" ", "+")}
                title={`${question} (${stageKey(index + 1)})`}
              >
                <span className="station" aria-hidden="true" />
                <span className="stage-name">{stageTitle(name)}</span>
                <StageMark state={of} findings={findings} />
              </a>
            </li>
          );
        })}
      </ol>
      <GuideLink />
    </nav>
  );
}

function StageMark(props: {
  state: StageState<unknown> | undefined;
  findings: readonly Finding[];
}) {
  const { state, findings } = props;
  if (state?.kind === "failed") {
    return (
      <span className="stage-mark">
        <SeverityMark severity="stop" /> refused
      </span>
    );
  }
  if (state?.kind === "blocked") {
    return <span className="stage-mark quiet">waits</span>;
  }
  const counts = TO_ANSWER.map((severity) => ({
    severity,
    count: countOf(findings, severity),
  })).filter(({ count }) => count > 0);
  const accepted = countOf(findings, "accepted");
  if (counts.length === 0 && accepted === 0) {
    return state?.kind === "ready" || state?.kind === "stale" ? (
      <span className="stage-mark quiet">{findings.length === 0 ? "" : "no warning"}</span>
    ) : null;
  }
  return (
    <span className="stage-mark">
      {counts.map(({ severity, count }) => (
        <span className="stage-count" key={severity}>
          <SeverityMark severity={severity} />
          {count.toString()}
          <span className="unseen"> {counted(count, "finding")}</span>
        </span>
      ))}
      {accepted === 0 ? null : <span className="quiet">{accepted.toString()} accepted</span>}
    </span>
  );
}
