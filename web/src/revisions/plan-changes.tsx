import { useEffect, useState } from "react";
import { sentenceOf } from "../api/errors";
import type { PlanChange } from "../api/replies";
import type { RevisionPair } from "../browser/route";
import { useService } from "../case/service-context";
import { Block } from "../components/block";
import { type Units, useUnits } from "../units/units-context";
import { levelWords, stageTitle } from "../words/words";

/** What was decided differently, entry by entry, in the order of the job. */
export function PlanChangeBlock({ id, pair }: { id: string; pair: RevisionPair }) {
  const { changes, problem } = usePlanChanges(id, pair);
  return (
    <Block title="What was changed in the plan">
      {problem === null ? null : <p className="refusal">{problem}</p>}
      {changes === null ? (
        <p className="quiet">Comparing …</p>
      ) : changes.length === 0 ? (
        <p>Nothing: both plans are the same.</p>
      ) : (
        <PlanChangeTable changes={changes} pair={pair} />
      )}
    </Block>
  );
}

function usePlanChanges(id: string, { before, after }: RevisionPair) {
  const service = useService();
  const [changes, setChanges] = useState<readonly PlanChange[] | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  useEffect(() => {
    let alive = true;
    setChanges(null);
    setProblem(null);
    service
      .planChanges(id, before, after)
      .then((found) => alive && setChanges(found.changes))
      .catch((error: unknown) => alive && setProblem(sentenceOf(error)));
    return () => {
      alive = false;
    };
  }, [service, id, before, after]);
  return { changes, problem };
}

interface TableProps {
  readonly changes: readonly PlanChange[];
  readonly pair: RevisionPair;
}

function PlanChangeTable({ changes, pair }: TableProps) {
  const units = useUnits();
  const stages = [...new Set(changes.map(({ stage }) => stage))];
  return (
    <table className="table figures compared-table" aria-label="Entries of the plan">
      <thead>
        <tr>
          <th scope="col">Entry</th>
          <th scope="col">Revision {pair.before}</th>
          <th scope="col">Revision {pair.after}</th>
        </tr>
      </thead>
      {stages.map((stage) => (
        <tbody key={stage}>
          <tr className="stage-row">
            <th scope="rowgroup" colSpan={3}>
              {stage === "case" ? "Case" : stageTitle(stage)}
            </th>
          </tr>
          {changes
            .filter((change) => change.stage === stage)
            .map((change) => (
              <ChangeRow
                key={`${change.kind} ${change.path} ${change.name}`}
                {...{ change, units }}
              />
            ))}
        </tbody>
      ))}
    </table>
  );
}

function ChangeRow({ change, units }: { change: PlanChange; units: Units }) {
  const whole = wholeWords(change, units);
  const { before, after } = change;
  return (
    <tr>
      <th scope="row">{entryWords(change, units)}</th>
      {whole === null ? (
        <>
          <td>{ownWords(valueWords(before, change, units), change, units)}</td>
          <td>{ownWords(valueWords(after, change, units), change, units)}</td>
        </>
      ) : (
        <td colSpan={2}>{whole}</td>
      )}
    </tr>
  );
}

/** "Relief, fibular head: depth"; a level is said in the units shown. */
export function entryWords(change: PlanChange, units: Pick<Units, "text">): string {
  const level =
    change.level_mm === null
      ? ""
      : ` ${levelWords(change.level_mm, (value, unit) => units.text(value, unit, 0))}`;
  const place = `${change.place}${level}`;
  return change.name === "" ? place : `${place}: ${change.name}`;
}

/** What is said of a whole part; null for an entry with a value on either side. */
export function wholeWords(change: PlanChange, units: Pick<Units, "text">): string | null {
  switch (change.kind) {
    case "order":
      return "in another order";
    case "moved":
      return `moved by ${units.text(Number(change.after), change.unit, 1)}`;
    case "added":
    case "removed":
      return change.name === "" ? change.kind : null;
    case "changed":
      return null;
  }
}

export function valueWords(
  value: PlanChange["before"],
  { kind, unit }: Pick<PlanChange, "kind" | "unit">,
  units: Pick<Units, "text">,
): string {
  if (value === null) {
    return kind === "changed" ? "not stated" : "–";
  }
  return typeof value === "number" ? units.text(value, unit, digitsOf(value)) : value;
}

/** An applied suggestion is the engine's sentence; all other texts are as a person wrote them. */
export function ownWords(
  words: string,
  { path }: Pick<PlanChange, "path">,
  units: Pick<Units, "said">,
): string {
  return /\.applied\.\d+\.text$/.test(path) ? units.said(words) : words;
}

const MOST_DIGITS = 3;

/** Digits that the number was entered with. */
function digitsOf(value: number): number {
  const shown = Number(value.toFixed(MOST_DIGITS)).toString();
  return shown.includes(".") ? shown.length - shown.indexOf(".") - 1 : 0;
}
