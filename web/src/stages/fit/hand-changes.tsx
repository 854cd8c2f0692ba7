import { useState } from "react";
import type { HandChange } from "../../api/document";

interface HandChangesProps {
  readonly changes: readonly HandChange[];
  readonly onChange: (changes: readonly HandChange[]) => void;
}

/** What was changed by hand, until the plan holds it. */
export function HandChanges({ changes, onChange }: HandChangesProps) {
  const [what, setWhat] = useState("");
  const add = (): void => {
    onChange([...changes, { what: what.trim(), area: null, depth_mm: null, entered: false }]);
    setWhat("");
  };
  return (
    <>
      <h4>Changed by hand</h4>
      <ul className="hand-changes">
        {changes.map((one, index) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: changes have no name of their own
          <li key={index}>
            <label className="tick">
              <input
                type="checkbox"
                checked={one.entered}
                onChange={(event) =>
                  onChange(
                    changes.map((old, i) =>
                      i === index ? { ...old, entered: event.target.checked } : old,
                    ),
                  )
                }
              />
              {one.what}{" "}
              <span className="quiet">{one.entered ? "in the plan" : "not yet in the plan"}</span>
            </label>
            <button
              type="button"
              className="plain-button"
              onClick={() => onChange(changes.filter((_, i) => i !== index))}
            >
              Remove<span className="unseen"> {one.what}</span>
            </button>
          </li>
        ))}
      </ul>
      <div className="add-row">
        <label>
          <span>What was changed</span>
          <input
            value={what}
            maxLength={300}
            autoComplete="off"
            onChange={(event) => setWhat(event.target.value)}
          />
        </label>
        <button type="button" disabled={what.trim() === ""} onClick={add}>
          Add
        </button>
      </div>
    </>
  );
}
