import { useId } from "react";
import { useProblem } from "../workshop/case-context";

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
}

/** One of a few, all of them in sight. */
export function SegmentedChoice<Value extends string>(props: ChoiceProps<Value>) {
  const name = useId();
  return (
    <fieldset className="segments">
      <legend className={props.labelHidden === true ? "unseen" : undefined}>{props.label}</legend>
      <div className="segments-row">
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
    </fieldset>
  );
}

/** One of several, by a drop-down list. */
export function SelectField<Value extends string>(props: ChoiceProps<Value>) {
  const id = useId();
  const problem = useProblem(props.path);
  return (
    <div className="field">
      <label htmlFor={id} className={props.labelHidden === true ? "unseen" : undefined}>
        {props.label}
      </label>
      <select
        id={id}
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
