import { useId } from "react";
import { useProblem } from "../case/case-context";

interface ScoreFieldProps {
  readonly label: string;
  /** null while nobody asked. */
  readonly value: number | null;
  /** What the lowest and the highest score mean. */
  readonly ends: readonly [string, string];
  readonly onChange: (value: number | null) => void;
  readonly path?: string;
}

const SCORES = Array.from({ length: 11 }, (_, score) => score);

/** A score of 0 to 10 to be touched, its ends named. */
export function ScoreField({ label, value, ends, onChange, path }: ScoreFieldProps) {
  const name = useId();
  const problem = useProblem(path);
  return (
    <fieldset className="field wide score" aria-describedby={`${name}-ends`}>
      <legend>{label}</legend>
      <div className="score-row">
        {SCORES.map((score) => (
          <label key={score} className="segment">
            <input
              type="radio"
              name={name}
              checked={score === value}
              onChange={() => onChange(score)}
            />
            <span>{score}</span>
          </label>
        ))}
      </div>
      <p className="score-ends" id={`${name}-ends`}>
        <span>0 {ends[0]}</span>
        {value === null ? (
          <span className="quiet">not asked</span>
        ) : (
          <button type="button" className="plain-button" onClick={() => onChange(null)}>
            Not asked<span className="unseen">: {label}</span>
          </button>
        )}
        <span>10 {ends[1]}</span>
      </p>
      {problem === null ? null : <span className="problem">{problem}</span>}
    </fieldset>
  );
}
