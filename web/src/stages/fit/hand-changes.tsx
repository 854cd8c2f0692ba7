import { useId, useState } from "react";
import type { HandChange } from "../../api/document";
import { useDocument, useInfo, useSession } from "../../case/case-context";
import { SelectField } from "../../components/choice-field";
import { NumberField } from "../../components/number-field";
import { useListFocus } from "../../components/use-list-focus";
import { mm } from "../../units/quantities";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { depthWith, withEntered } from "./fittings";

interface HandChangesProps {
  readonly changes: readonly HandChange[];
  /** Position of the fitting. */
  readonly fitting: number;
  readonly onChange: (changes: readonly HandChange[]) => void;
}

/** What was changed by hand, until the plan holds it. */
export function HandChanges({ changes, fitting, onChange }: HandChangesProps) {
  const { heading, removing } = useListFocus(changes.length);
  return (
    <>
      <h4 {...heading}>Changed by hand</h4>
      <ul className="hand-changes">
        {changes.map((one, index) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: changes have no name of their own
          <li key={index}>
            <ChangeItem
              change={one}
              fitting={fitting}
              index={index}
              onMark={(entered) =>
                onChange(changes.map((old, i) => (i === index ? { ...old, entered } : old)))
              }
              onRemove={() => removing(() => onChange(changes.filter((_, i) => i !== index)))}
            />
          </li>
        ))}
      </ul>
      <AddChange onAdd={(change) => onChange([...changes, change])} />
    </>
  );
}

interface ChangeItemProps {
  readonly change: HandChange;
  readonly fitting: number;
  readonly index: number;
  readonly onMark: (entered: boolean) => void;
  readonly onRemove: () => void;
}

function ChangeItem({ change, fitting, index, onMark, onRemove }: ChangeItemProps) {
  const session = useSession();
  const document = useDocument();
  const { text } = useUnits();
  const depth = depthWith(document, change);
  const words = changeWords(change, text);
  return (
    <>
      <label className="tick">
        <input
          type="checkbox"
          checked={change.entered}
          onChange={(event) => onMark(event.target.checked)}
        />
        <span>
          {words}{" "}
          <span className="quiet">{change.entered ? "in the plan" : "not yet in the plan"}</span>
        </span>
      </label>
      <div className="change-actions">
        {change.entered || depth === null ? null : (
          <button
            type="button"
            onClick={() => session.edit("shape", (now) => withEntered(now, fitting, index))}
          >
            Enter it in the plan: {sizeWords(depth, text)}
          </button>
        )}
        <button type="button" className="plain-button" onClick={onRemove}>
          Remove<span className="unseen"> {words}</span>
        </button>
      </div>
    </>
  );
}

type Write = (value: number, unit: string) => string;

function changeWords(change: HandChange, text: Write): string {
  const area = change.area === null ? [] : [named(change.area)];
  const depth = change.depth_mm === null ? [] : [sizeWords(change.depth_mm, text)];
  const place = [...area, ...depth].join(" ");
  return [place, change.what].filter((part) => part !== "").join(", ");
}

function sizeWords(depth: number, text: Write): string {
  return `${text(Math.abs(depth), "mm")} ${depth < 0 ? "pressed in" : "space added"}`;
}

const NO_AREA = "";

/** Where and how much, and in words what no area and depth can say. */
function AddChange({ onAdd }: { onAdd: (change: HandChange) => void }) {
  const { areas } = useInfo();
  const [area, setArea] = useState(NO_AREA);
  const [depth, setDepth] = useState<number | null>(null);
  const [what, setWhat] = useState("");
  const id = useId();
  const add = (): void => {
    onAdd({
      what: what.trim(),
      area: area === NO_AREA ? null : area,
      depth_mm: area === NO_AREA || depth === null ? null : mm(depth),
      entered: false,
    });
    setArea(NO_AREA);
    setDepth(null);
    setWhat("");
  };
  return (
    <div className="form">
      <SelectField
        label="Area changed"
        value={area}
        options={[
          { value: NO_AREA, label: "no area: in words" },
          ...areas.map(({ name }) => ({ value: name, label: named(name) })),
        ]}
        onChange={setArea}
      />
      {area === NO_AREA ? null : (
        <NumberField
          label="By how much"
          value={depth}
          unit="mm"
          step={0.5}
          fallback="not measured"
          hint="Space added is positive, pressed in is negative."
          onChange={setDepth}
          onDefault={() => setDepth(null)}
        />
      )}
      <div className="field wide">
        <label htmlFor={id}>What was changed</label>
        <input
          id={id}
          value={what}
          maxLength={300}
          autoComplete="off"
          onChange={(event) => setWhat(event.target.value)}
        />
      </div>
      <button type="button" disabled={what.trim() === "" && area === NO_AREA} onClick={add}>
        Add
      </button>
    </div>
  );
}
