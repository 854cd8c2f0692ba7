import { useId } from "react";
import { useProblem } from "../case/case-context";

export interface Option<Value extends string> {
  readonly value: Value;
  readonly label: string;
}

interface ChoiceProps<Value extends string> {
  readonly label: string;
  readonly value: Value;
  readonly options: readonly Option<Value>[];
  readonly onChange: (value: Value) => void;
  readonly labelHidden?: boolean;
  readonly path?: string;
  /** Takes the whole width of a form. */
  readonly wide?: boolean;
}

/** One of a few, all of them in sight. */
export function SegmentedChoice<Value extends string>(props: ChoiceProps<Value>) {
  const name = useId();
  const problem = useProblem(props.path);
  return (
    <div
      className="field"
      role="radiogroup"
      aria-labelledby={`${name}-label`}
      data-entry={props.path}
    >
      <span id={`${name}-label`} className={props.labelHidden === true ? "unseen" : "field-name"}>
        {props.label}
      </span>
      <div className="segments">
        {props.options.map((option) => (
          <label key={option.value} className="segment">
            <input
              type="radio"
              name={name}
              value={option.value}
              checked={option.value === props.value}
              onChange={() => props.onChange(option.value)}
            />
            <span>{option.label}</span>
          </label>
        ))}
      </div>
      {problem === null ? null : <span className="problem">{problem}</span>}
    </div>
  );
}

/** One of several, by a drop-down list. */
export function SelectField<Value extends string>(props: ChoiceProps<Value>) {
  const id = useId();
  const problem = useProblem(props.path);
  return (
    <div className={props.wide === true ? "field wide" : "field"}>
      <label htmlFor={id} className={props.labelHidden === true ? "unseen" : undefined}>
        {props.label}
      </label>
      <select
        id={id}
        data-entry={props.path}
        value={props.value}
        onChange={(event) => props.onChange(event.target.value as Value)}
      >
        {props.options.map((option) => (
          <option key={option.value} value={option.value}>
            {option.label}
          </option>
        ))}
      </select>
      {problem === null ? null : <span className="problem">{problem}</span>}
    </div>
  );
}
