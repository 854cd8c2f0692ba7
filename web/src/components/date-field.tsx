import { useId, useState } from "react";
import { useProblem } from "../case/case-context";
import { today } from "../units/today";

interface DateFieldProps {
  readonly label: string;
  /** A day as "2030-02-03". */
  readonly value: string;
  readonly onChange: (day: string) => void;
  readonly path?: string;
  /** Said where the day is yet to come; a day that may lie ahead has none. */
  readonly ahead?: string;
}

/** A year that is being typed digit by digit begins far back. */
const FIRST_DAY = "1900-01-01";

/** A day, by the browser's own entry for days. */
export function DateField({ label, value, onChange, path, ahead }: DateFieldProps) {
  const id = useId();
  const [draft, setDraft] = useState<string | null>(null);
  const told = useProblem(path);
  const problem = told ?? (ahead !== undefined && value > today() ? ahead : null);
  const take = (day: string): void => {
    setDraft(day);
    if (day >= FIRST_DAY && day !== value) {
      onChange(day);
    }
  };
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      <input
        id={id}
        type="date"
        required
        value={draft ?? value}
        onChange={(event) => take(event.target.value)}
        onBlur={() => setDraft(null)}
        aria-describedby={problem === null ? undefined : `${id}-problem`}
      />
      {problem === null ? null : (
        <span className="problem" id={`${id}-problem`} role="status">
          {problem}
        </span>
      )}
    </div>
  );
}
