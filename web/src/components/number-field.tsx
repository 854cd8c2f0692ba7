import { type KeyboardEvent, useId, useState } from "react";
import { useProblem } from "../case/case-context";
import { commitEntry, type EntryFormat, entryText, nudge, shownStep } from "../units/entry";
import { useUnits } from "../units/units-context";
import { Said } from "./said";

interface Meant {
  /** As it is asked: "178 cm?" */
  readonly words: string;
  readonly stored: number;
}

export interface NumberFieldProps {
  readonly label: string;
  /** Stored value; null when left to its default. */
  readonly value: number | null;
  /** Unit of storage. */
  readonly unit: string;
  readonly digits?: number;
  /** What an arrow key adds, in the unit of storage. */
  readonly step?: number;
  readonly onChange: (stored: number) => void;
  /** Why a typed value cannot be used, in the entry's own sense; null when it can. */
  readonly refuse?: (stored: number) => string | null;
  /** What a refused value may have meant; a press takes it. */
  readonly meant?: (stored: number) => Meant | null;
  /** A refused value was typed: what was stored before no longer counts. */
  readonly onRefused?: () => void;
  /** Given when the field may be left to its default. */
  readonly onDefault?: () => void;
  /** What stands in an empty field, for example the default in use. */
  readonly fallback?: string;
  /** Place in the case document, for the service's remarks about it. */
  readonly path?: string;
  readonly labelHidden?: boolean;
  readonly hint?: string;
}

/** Enters a number in the units shown; stores only what a person changed. */
export function NumberField(props: NumberFieldProps) {
  const { choice, sign } = useUnits();
  const format: EntryFormat = { unit: props.unit, digits: props.digits ?? 1, choice };
  const shown = entryText(props.value, format);
  const [draft, setDraft] = useState<string | null>(null);
  const [unreadable, setUnreadable] = useState<string | null>(null);
  const [offer, setOffer] = useState<Meant | null>(null);
  const told = useProblem(props.path);
  const id = useId();
  const text = draft ?? shown;
  const problem = unreadable ?? told;

  const commit = (): void => {
    const meant = commitEntry(text, props.value, format);
    setUnreadable(null);
    setOffer(null);
    if (meant.kind === "changed") {
      const refused = props.refuse?.(meant.stored) ?? null;
      if (refused !== null) {
        setUnreadable(refused);
        setOffer(props.meant?.(meant.stored) ?? null);
        props.onRefused?.();
        return;
      }
      props.onChange(meant.stored);
    } else if (meant.kind === "emptied") {
      props.onDefault?.();
    } else if (meant.kind === "unreadable") {
      setUnreadable(`“${meant.text}” is not a number.`);
      return;
    }
    setDraft(null);
  };

  const take = ({ stored }: Meant): void => {
    setDraft(null);
    setUnreadable(null);
    setOffer(null);
    props.onChange(stored);
  };

  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.key === "Enter") {
      commit();
    } else if (event.key === "Escape" && draft !== null) {
      event.stopPropagation();
      setDraft(null);
      setUnreadable(null);
      setOffer(null);
    } else if ((event.key === "ArrowUp" || event.key === "ArrowDown") && !event.altKey) {
      event.preventDefault();
      const steps = (event.key === "ArrowUp" ? 1 : -1) * (event.shiftKey ? 10 : 1);
      const next = nudge(text, steps, shownStep(props.step ?? 1, props.unit, choice), format);
      setDraft(null);
      setUnreadable(null);
      setOffer(null);
      if ((props.refuse?.(next) ?? null) === null) {
        props.onChange(next);
      }
    }
  };

  const unit = sign(props.unit);
  return (
    <div className="field">
      <label htmlFor={id} className={props.labelHidden === true ? "unseen" : undefined}>
        {props.label}
      </label>
      <span className="entry">
        <input
          id={id}
          data-entry={props.path}
          inputMode="decimal"
          autoComplete="off"
          value={text}
          placeholder={props.fallback}
          aria-invalid={problem !== null}
          aria-describedby={problem === null ? undefined : `${id}-problem`}
          onFocus={(event) => event.target.select()}
          onChange={(event) => setDraft(event.target.value)}
          onBlur={commit}
          onKeyDown={onKeyDown}
        />
        {unit === "" ? null : <span className="entry-unit">{unit}</span>}
      </span>
      {props.hint === undefined ? null : <span className="hint">{props.hint}</span>}
      {problem === null ? null : (
        <span className="problem" id={`${id}-problem`}>
          <Said text={problem} />
        </span>
      )}
      {problem === null || offer === null ? null : (
        <button type="button" className="plain-button" onClick={() => take(offer)}>
          {offer.words}
        </button>
      )}
    </div>
  );
}
