import type { Finding } from "../api/results";
import { useInfo } from "../case/case-context";
import { countOf, type Filter, KINDS, type Kind, shownOf, toggled } from "../case/findings-shown";
import { SeverityMark } from "../components/severity-mark";
import { SEVERITY_WORDS, stageTitle } from "../words/words";

interface FindingsFilterProps {
  readonly findings: readonly Finding[];
  readonly filter: Filter;
  readonly onFilter: (filter: Filter) => void;
}

const EVERY_STAGE = "";

/** How many findings there are of each kind, and which of them and of which stage are shown. */
export function FindingsFilter({ findings, filter, onFilter }: FindingsFilterProps) {
  const { stages } = useInfo();
  const shown = shownOf(findings, filter).length;
  return (
    <div className="finding-filter">
      <fieldset className="finding-kinds">
        <legend className="unseen">Show only</legend>
        {KINDS.map((kind) => {
          const count = countOf(findings, kind);
          return count === 0 && !filter.kinds.has(kind) ? null : (
            <button
              key={kind}
              type="button"
              aria-pressed={filter.kinds.has(kind)}
              onClick={() => onFilter(toggled(filter, kind))}
            >
              <KindMark kind={kind} /> <b>{count}</b>
            </button>
          );
        })}
      </fieldset>
      <label>
        <span className="unseen">Stage</span>
        <select
          value={filter.stage ?? EVERY_STAGE}
          onChange={(event) =>
            onFilter({
              ...filter,
              stage: event.target.value === EVERY_STAGE ? null : event.target.value,
            })
          }
        >
          <option value={EVERY_STAGE}>All stages</option>
          {stages.map(({ name }) => (
            <option key={name} value={name}>
              {stageTitle(name)} ({findings.filter((one) => one.stage === name).length})
            </option>
          ))}
        </select>
      </label>
      <span className="unseen" role="status">
        {shown} of {findings.length} shown
      </span>
    </div>
  );
}

function KindMark({ kind }: { kind: Kind }) {
  if (kind === "accepted") {
    return <span className="severity">Accepted</span>;
  }
  return (
    <span title={SEVERITY_WORDS[kind]}>
      <SeverityMark severity={kind} words />
    </span>
  );
}
