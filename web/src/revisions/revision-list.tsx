import { useState } from "react";
import type { RevisionEntry } from "../api/replies";
import { goTo, type RevisionPair, revisionsAddress } from "../browser/route";
import { Block } from "../components/block";
import { Said } from "../components/said";
import { dayWords } from "../words/when";
import { stepsOfWork } from "./steps-of-work";

interface RevisionListProps {
  readonly id: string;
  readonly entries: readonly RevisionEntry[];
  readonly standing: number | null;
  /** Null where none or no two revisions are compared. */
  readonly pair: RevisionPair | null;
}

/** The revisions, the newest first, and which two are compared. */
export function RevisionList({ id, entries, standing, pair }: RevisionListProps) {
  const choose = (part: Partial<RevisionPair>): void => {
    const last = standing ?? 1;
    goTo(revisionsAddress(id, { before: last, after: last, ...pair, ...part }));
  };
  const [all, setAll] = useState(false);
  const kept = new Set([standing, pair?.before, pair?.after].filter((one) => one != null));
  const shown = all ? entries : stepsOfWork(entries, kept);
  const passed = entries.length - stepsOfWork(entries, kept).length;
  return (
    <Block
      title="All revisions"
      aside={
        passed === 0 ? undefined : (
          <label>
            <input type="checkbox" checked={all} onChange={() => setAll(!all)} /> with{" "}
            {passed.toString()} that a drag passed through
          </label>
        )
      }
    >
      <div className="revision-scroll">
        <table className="table revision-table" aria-label="Revisions of this case">
          <thead>
            <tr>
              <th scope="col">Revision</th>
              <th scope="col">Saved</th>
              <th scope="col">Before</th>
              <th scope="col">After</th>
            </tr>
          </thead>
          <tbody>
            {[...shown].reverse().map(({ number, saved_at, note }) => (
              <tr key={number}>
                <th scope="row">
                  {number}
                  {number === standing ? <span className="stands">stands</span> : null}
                </th>
                <td>
                  {dayWords(saved_at, new Date())}
                  {note === "" ? null : (
                    <span className="notes">
                      <Said text={note} />
                    </span>
                  )}
                </td>
                {(["before", "after"] as const).map((side) => (
                  <td key={side}>
                    <label className="revision-choice">
                      <input
                        type="radio"
                        name={`revision-${side}`}
                        checked={pair?.[side] === number}
                        onChange={() => choose({ [side]: number })}
                      />
                      <span className="unseen">
                        Revision {number} {side === "before" ? "before" : "after"}
                      </span>
                    </label>
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </Block>
  );
}
