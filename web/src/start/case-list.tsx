import { useCallback, useEffect, useState } from "react";
import type { Service } from "../api/client";
import { sentenceOf } from "../api/errors";
import type { CaseEntry } from "../api/replies";
import { caseAddress, goTo, NEW_CASE } from "../browser/route";
import { SeverityMark } from "../components/severity-mark";
import { SideBadge } from "../components/side-badge";
import { guideStart } from "../guide/places";
import { SchemeSwitch } from "../scheme/scheme-switch";
import { dayWords } from "../words/when";
import { capitalised, counted, stageTitle } from "../words/words";
import { holdScan } from "./held-scan";
import { useScanDrop } from "./scan-drop";

interface CaseListProps {
  readonly service: Service;
  readonly firstStage: string;
  readonly version: string;
}

/** The cases of the folder that the service was started on; each opens, copies or is put away. */
export function CaseList({ service, firstStage, version }: CaseListProps) {
  const [cases, setCases] = useState<readonly CaseEntry[] | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [busy, setBusy] = useState("");
  const load = useCallback(async () => {
    try {
      setCases((await service.cases()).cases);
    } catch (error) {
      setProblem(sentenceOf(error));
    }
  }, [service]);
  useEffect(() => void load(), [load]);

  const act = async (words: string, action: () => Promise<unknown>): Promise<void> => {
    setBusy(words);
    setProblem(null);
    try {
      await action();
      await load();
    } catch (error) {
      setProblem(sentenceOf(error));
    }
    setBusy("");
  };
  const openDemo = (address: (id: string) => string): Promise<void> =>
    act("Writing the demo case …", async () => goTo(address(await service.beginDemo())));
  const drop = useScanDrop((dropped) => {
    holdScan(dropped);
    goTo(NEW_CASE);
  });

  const inUse = cases?.filter((entry) => !entry.archived) ?? [];
  const away = cases?.filter((entry) => entry.archived) ?? [];
  const list = (entries: readonly CaseEntry[]) => (
    <ul className="case-list">
      {entries.map((entry) => (
        <CaseLine
          key={entry.id}
          entry={entry}
          folder={!isAlone(entry, cases ?? [])}
          firstStage={firstStage}
          disabled={busy !== ""}
          onDuplicate={() => void act("Copying …", () => service.duplicateCase(entry.id))}
          onArchive={() => void act("", () => service.archiveCase(entry.id, !entry.archived))}
        />
      ))}
    </ul>
  );
  return (
    <div className={`start${drop.className}`} {...drop.handlers}>
      <header className="top-bar">
        <span className="wordmark">Limbwright</span>
        <span className="version quiet">{version}</span>
        <SchemeSwitch />
      </header>
      <main>
        <div className="start-head">
          <h1>Cases</h1>
          <a className="main-button" href={NEW_CASE}>
            New case from a scan
          </a>
          <button type="button" disabled={busy !== ""} onClick={() => void openDemo(guideStart)}>
            Guided first case
          </button>
          <button
            type="button"
            disabled={busy !== ""}
            onClick={() => void openDemo((id) => caseAddress(id, firstStage))}
          >
            Look around in a demo case
          </button>
        </div>
        {problem === null ? null : (
          <div className="banner" role="alert">
            <p>{problem}</p>
          </div>
        )}
        <p className="quiet" role="status">
          {busy}
        </p>
        {cases !== null && inUse.length === 0 ? <NoCases /> : null}
        {list(inUse)}
        {away.length === 0 ? null : (
          <details className="archived">
            <summary>{counted(away.length, "case")} put away</summary>
            {list(away)}
          </details>
        )}
      </main>
    </div>
  );
}

/** Whether title and code tell a case from all others. */
export function isAlone(entry: CaseEntry, all: readonly CaseEntry[]): boolean {
  const { title, code } = entry;
  return (
    (title !== "" || code !== "") &&
    !all.some((one) => one.id !== entry.id && one.title === title && one.code === code)
  );
}

interface CaseLineProps {
  readonly entry: CaseEntry;
  /** Whether its folder is named, because nothing else tells it from another case. */
  readonly folder: boolean;
  readonly firstStage: string;
  readonly disabled: boolean;
  readonly onDuplicate: () => void;
  readonly onArchive: () => void;
}

function CaseLine({ entry, folder, firstStage, disabled, onDuplicate, onArchive }: CaseLineProps) {
  const name = entry.title || entry.code || entry.folder;
  return (
    <li className="case-line">
      <span className="case-picture">
        {entry.picture === null ? (
          <span className="quiet">No picture yet</span>
        ) : (
          <img src={entry.picture} alt="" />
        )}
      </span>
      <div className="case-words">
        {entry.problem === null ? (
          <a className="case-title" href={caseAddress(entry.id, entry.waits_at || firstStage)}>
            {name}
          </a>
        ) : (
          <span className="case-title">{name}</span>
        )}
        <span className="case-facts quiet">
          {entry.side === null ? null : <SideBadge side={entry.side} />}
          {entry.code === "" || entry.code === name ? null : <span>{entry.code}</span>}
          {folder ? <span className="case-folder">folder {entry.folder}</span> : null}
          {entry.invented ? <span className="invented">Invented person</span> : null}
          <span>
            {entry.changed_at === null
              ? "not opened yet"
              : `revision ${entry.revision.toString()}, ${dayWords(entry.changed_at, new Date())}`}
          </span>
        </span>
        {entry.problem === null ? (
          <Standing entry={entry} />
        ) : (
          <p className="problem">{capitalised(entry.problem)}</p>
        )}
      </div>
      <div className="case-actions">
        {entry.problem === null ? (
          <button type="button" disabled={disabled} onClick={onDuplicate}>
            Duplicate<span className="unseen"> {name}</span>
          </button>
        ) : null}
        <button type="button" disabled={disabled} onClick={onArchive}>
          {entry.archived ? "Take back" : "Put away"}
          <span className="unseen"> {name}</span>
        </button>
      </div>
    </li>
  );
}

/** What is open and where the job stands, as the last evaluation here found it. */
export function Standing({ entry }: { entry: CaseEntry }) {
  if (entry.stands_at === null) {
    return <span className="quiet">Not computed yet: open it to see what is open</span>;
  }
  const counts = [
    ["stop", entry.stop],
    ["not established", entry.not_established],
    ["warning", entry.warning],
  ] as const;
  const open = counts.filter(([, count]) => count > 0);
  return (
    <span className="case-standing">
      {open.length === 0 && entry.waits_at === "" ? <span>Nothing is open</span> : null}
      {open.map(([severity, count]) => (
        <span key={severity}>
          <SeverityMark severity={severity} words /> {count}
        </span>
      ))}
      <span>
        {entry.waits_at === "" ? "Stands at" : "Waits at"} {stageTitle(entry.stands_at)}
      </span>
      {entry.accepted === 0 ? null : (
        <span className="quiet">{entry.accepted.toString()} accepted</span>
      )}
    </span>
  );
}

function NoCases() {
  return (
    <div className="no-cases">
      <p>
        A case begins with a scan of the residual limb: an STL, PLY, OBJ, 3MF or GLB file. Drop it
        anywhere on this page, or choose “New case from a scan”.
      </p>
      <ol>
        <li>You touch two or three landmarks on the scan, and say which side it is.</li>
        <li>Limbwright finds unit and frame, proposes the other landmarks and the bones.</li>
        <li>You shape the socket and see at once what each place would carry.</li>
        <li>Coupling, alignment and strength follow; then socket, positive and work order.</li>
      </ol>
      <p>
        To see the whole job first, choose “Guided first case”: it leads through an invented
        person’s case step by step. Or look around in that case by yourself.
      </p>
    </div>
  );
}
