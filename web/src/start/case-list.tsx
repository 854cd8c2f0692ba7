import type { CaseEntry } from "../api/replies";
import { SideBadge } from "../components/side-badge";
import { caseAddress } from "../route";

interface CaseListProps {
  readonly cases: readonly CaseEntry[];
  readonly firstStage: string;
  readonly version: string;
}

/** The cases of the folder that the service was started on. */
export function CaseList({ cases, firstStage, version }: CaseListProps) {
  return (
    <div className="start">
      <header className="top-bar">
        <span className="wordmark">Limbwright</span>
        <span className="quiet">{version}</span>
      </header>
      <main>
        <h1>Cases</h1>
        {cases.length === 0 ? <NoCases /> : null}
        <ul className="case-list">
          {cases.map((entry) => (
            <li key={entry.id}>
              <a href={caseAddress(entry.id, firstStage)}>
                <SideBadge side={entry.side} />
                <span className="case-title">{entry.title || entry.id}</span>
                {entry.invented ? <span className="invented">Invented person</span> : null}
              </a>
            </li>
          ))}
        </ul>
      </main>
    </div>
  );
}

function NoCases() {
  return (
    <div className="no-cases">
      <p>There is no case in this folder yet. A case begins with a scan of the limb:</p>
      <pre>
        limbwright new FOLDER --scan FILE --side left --landmarks FILE --mass-kg 80 --stature-mm
        1750 --activity K3
      </pre>
      <p>
        To look around first, <code>limbwright demo FOLDER</code> makes the case of an invented
        person.
      </p>
    </div>
  );
}
