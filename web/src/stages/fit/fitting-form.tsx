import type { Fitting } from "../../api/document";
import { NumberField } from "../../components/number-field";
import { TextField } from "../../components/text-field";

interface FittingFormProps {
  readonly fitting: Fitting;
  readonly number: number;
  readonly onChange: (part: Partial<Fitting>) => void;
}

/** Day, revision worn, comfort, plies and a note. */
export function FittingForm({ fitting, number, onChange }: FittingFormProps) {
  const path = `fit.fittings.${number.toString()}`;
  const whole = (label: string, name: "comfort" | "comfort_best" | "comfort_worst" | "ply") => (
    <NumberField
      label={label}
      value={fitting[name]}
      unit=""
      digits={0}
      path={`${path}.${name}`}
      onChange={(value) => onChange({ [name]: Math.round(value) })}
      onDefault={() => onChange({ [name]: null })}
      fallback="not asked"
    />
  );
  return (
    <div className="form">
      <TextField
        label="Day"
        value={fitting.date}
        required
        path={`${path}.date`}
        onChange={(date) => onChange({ date })}
      />
      <NumberField
        label="Revision worn"
        value={fitting.revision}
        unit=""
        digits={0}
        path={`${path}.revision`}
        onChange={(revision) => onChange({ revision: Math.round(revision) })}
        onDefault={() => onChange({ revision: null })}
      />
      {whole("Comfort now, 0 to 10", "comfort")}
      {whole("Sock ply", "ply")}
      {whole("Comfort at best", "comfort_best")}
      {whole("Comfort at worst", "comfort_worst")}
      <NumberField
        label="Worn for"
        value={fitting.worn_minutes}
        unit="min"
        digits={0}
        path={`${path}.worn_minutes`}
        onChange={(minutes) => onChange({ worn_minutes: minutes })}
        onDefault={() => onChange({ worn_minutes: null })}
        fallback="not noted"
      />
      <TextField
        label="Note (no names)"
        value={fitting.note}
        path={`${path}.note`}
        onChange={(note) => onChange({ note })}
      />
    </div>
  );
}
