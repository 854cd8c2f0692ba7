import { type KeyboardEvent, useEffect, useId, useRef, useState } from "react";
import type { Finding, StageName } from "../api/results";
import { useStageAddress } from "../browser/route";
import { useCaseState } from "../case/case-context";
import { ALL, byStage, shownOf } from "../case/findings-shown";
import { Acceptance } from "../components/acceptance";
import { FindingFacts, findingKey } from "../components/finding-item";
import { Remedy } from "../components/remedy";
import { FindingText } from "../components/said";
import { SeverityMark } from "../components/severity-mark";
import { counted, stageTitle } from "../words/words";
import { FindingsFilter } from "./findings-filter";

/** Everything that the stages have to say: by stage, worst first; the stage at hand is in view. */
export function FindingsStrip({ stage }: { stage: string }) {
  const { findings } = useCaseState();
  const [open, setOpen] = useState(true);
  const [filter, setFilter] = useState(ALL);
  const shown = shownOf(findings, filter);
  return (
    <section className={`findings-strip${open ? "" : " folded"}`} aria-labelledby="findings-title">
      <header>
        <h2 id="findings-title" tabIndex={-1}>
          Findings
        </h2>
        <FindingsFilter findings={findings} filter={filter} onFilter={setFilter} />
        <button type="button" aria-expanded={open} onClick={() => setOpen(!open)}>
          {open ? "Fold" : `Show ${counted(findings.length, "finding")}`}
        </button>
      </header>
      {open ? <AllFindings shown={shown} stage={stage} /> : null}
    </section>
  );
}

/** One stop of the Tab key; arrows, Home and End go from finding to finding. */
function AllFindings({ shown, stage }: { shown: readonly Finding[]; stage: string }) {
  const { id, findings, evaluated, stages } = useCaseState();
  const address = useStageAddress(id);
  const [chosen, setChosen] = useState<string | null>(null);
  const list = useRef<HTMLDivElement>(null);
  const computed = evaluated !== null;
  const speaks = shown.some((finding) => finding.stage === stage);
  // biome-ignore lint/correctness/useExhaustiveDependencies: its first findings are an occasion too
  useEffect(() => {
    const group = list.current?.querySelector<HTMLElement>(`[data-stage="${stage}"]`);
    if (list.current && !list.current.matches(":focus-within")) {
      list.current.scrollTop = group?.offsetTop ?? 0;
    }
  }, [stage, computed, speaks]);
  if (shown.length === 0) {
    const none = findings.length === 0 ? "No stage has anything to say." : "Nothing of this kind.";
    return <p className="quiet">{evaluated === null ? "Computing …" : none}</p>;
  }
  const groups = byStage(shown);
  const keys = groups.flatMap((group) => group.findings.map(findingKey));
  const stop = chosen !== null && keys.includes(chosen) ? chosen : keys[0];
  const onKeyDown = (event: KeyboardEvent): void => {
    const heads = [...(list.current?.querySelectorAll<HTMLElement>(".finding-head") ?? [])];
    const at = heads.indexOf(event.target as HTMLElement);
    const next = at < 0 ? undefined : heads[stepTo(event.key, at, heads.length)];
    if (next !== undefined && heads.indexOf(next) !== at) {
      event.preventDefault();
      setChosen(keys[heads.indexOf(next)] ?? null);
      next.focus();
    }
  };
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: the rows' own buttons take the keys
    <div ref={list} className="all-findings" onKeyDown={onKeyDown}>
      {groups.map((group) => (
        <section
          key={group.stage}
          data-stage={group.stage}
          aria-label={`Findings of ${stageTitle(group.stage)}`}
        >
          <h3 className="finding-stage">
            <a href={address(group.stage)} tabIndex={-1}>
              {stageTitle(group.stage)}
            </a>
            <span className="quiet">{counted(group.findings.length, "finding")}</span>
          </h3>
          <ul>
            {group.findings.map((finding) => (
              <FindingRow
                key={findingKey(finding)}
                finding={finding}
                stale={stages[finding.stage as StageName]?.kind === "stale"}
                stop={findingKey(finding) === stop}
                chosen={findingKey(finding) === chosen}
                onChoose={(yes) => setChosen(yes ? findingKey(finding) : null)}
              />
            ))}
          </ul>
        </section>
      ))}
    </div>
  );
}

/** Where a key leads from a row: itself for a key that means nothing here. */
function stepTo(key: string, at: number, count: number): number {
  switch (key) {
    case "ArrowDown":
      return Math.min(at + 1, count - 1);
    case "ArrowUp":
      return Math.max(at - 1, 0);
    case "Home":
      return 0;
    case "End":
      return count - 1;
    default:
      return at;
  }
}

interface FindingRowProps {
  readonly finding: Finding;
  readonly stale: boolean;
  /** The one row that the Tab key stops at. */
  readonly stop: boolean;
  /** Shown in full length. */
  readonly chosen: boolean;
  readonly onChoose: (chosen: boolean) => void;
}

/** A finding in two lines; in full once it is chosen. */
function FindingRow({ finding, stale, stop, chosen, onChoose }: FindingRowProps) {
  const id = useId();
  const tab = chosen ? 0 : -1;
  const accepted = finding.accepted !== "";
  const row = useRef<HTMLLIElement>(null);
  const head = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    if (chosen) {
      row.current?.scrollIntoView({ block: "nearest" });
      // Where the list is lower than the row, its beginning is what is read.
      head.current?.scrollIntoView({ block: "nearest" });
    }
  }, [chosen]);
  return (
    <li
      ref={row}
      className={["finding", stale && "stale", chosen && "chosen"].filter(Boolean).join(" ")}
    >
      <button
        ref={head}
        type="button"
        className="finding-head"
        tabIndex={stop ? 0 : -1}
        aria-expanded={chosen}
        aria-controls={id}
        onClick={() => onChoose(!chosen)}
      >
        <SeverityMark severity={finding.severity} />
        {accepted ? <span className="finding-accepted">Accepted</span> : null}
        <span className="finding-text">
          <FindingText finding={finding} />
        </span>
      </button>
      <div className="finding-more" id={id}>
        <div className="finding-facts">
          <FindingFacts finding={finding} />
        </div>
        <Remedy finding={finding} tab={tab} />
        <Acceptance finding={finding} tab={tab} onSaid={() => head.current?.focus()} />
      </div>
    </li>
  );
}
