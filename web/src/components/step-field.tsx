import { NumberField } from "./number-field";

interface StepFieldProps {
  readonly label: string;
  /** What one step is called: "ply". */
  readonly one: string;
  /** null while nobody noted it. */
  readonly value: number | null;
  readonly most: number;
  readonly onChange: (value: number | null) => void;
  readonly path: string;
}

/** A small count, stepped by touch or typed. */
export function StepField({ label, one, value, most, onChange, path }: StepFieldProps) {
  const known = value ?? 0;
  return (
    <div className="step-field">
      <button
        type="button"
        aria-label={`One ${one} less`}
        disabled={known <= 0}
        onClick={() => onChange(known - 1)}
      >
        −
      </button>
      <NumberField
        label={label}
        value={value}
        unit=""
        digits={0}
        fallback="not noted"
        path={path}
        onChange={(count) => onChange(Math.round(count))}
        onDefault={() => onChange(null)}
      />
      <button
        type="button"
        aria-label={`One ${one} more`}
        disabled={known >= most}
        onClick={() => onChange(value === null ? 1 : known + 1)}
      >
        +
      </button>
    </div>
  );
}
