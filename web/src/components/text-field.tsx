import { useId, useState } from "react";
import { useProblem } from "../case/case-context";

interface TextFieldProps {
  readonly label: string;
  readonly value: string;
  readonly onChange: (value: string) => void;
  readonly path?: string;
  readonly hint?: string;
  readonly required?: boolean;
  readonly maxLength?: number;
}

/** Enters a line of text; stored on leaving the field. */
export function TextField(props: TextFieldProps) {
  const [draft, setDraft] = useState<string | null>(null);
  const id = useId();
  const problem = useProblem(props.path);
  const commit = (): void => {
    const text = (draft ?? props.value).trim();
    if (text !== props.value && (text !== "" || props.required !== true)) {
      props.onChange(text);
    }
    setDraft(null);
  };
  return (
    <div className="field">
      <label htmlFor={id}>{props.label}</label>
      <input
        id={id}
        data-entry={props.path}
        autoComplete="off"
        maxLength={props.maxLength}
        value={draft ?? props.value}
        onChange={(event) => setDraft(event.target.value)}
        onBlur={commit}
        onKeyDown={(event) => {
          if (event.key === "Enter") {
            commit();
          } else if (event.key === "Escape") {
            setDraft(null);
          }
        }}
      />
      {props.hint === undefined ? null : <span className="hint">{props.hint}</span>}
      {problem === null ? null : <span className="problem">{problem}</span>}
    </div>
  );
}
