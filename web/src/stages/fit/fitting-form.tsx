import type { Fitting } from "../../api/document";
import { DateField } from "../../components/date-field";
import { NumberField } from "../../components/number-field";
import { ScoreField } from "../../components/score-field";
import { StepField } from "../../components/step-field";
import { TextField } from "../../components/text-field";
import { WornField } from "./worn-field";

interface FittingFormProps {
  readonly fitting: Fitting;
  readonly number: number;
  readonly onChange: (part: Partial<Fitting>) => void;
}

const MOST_PLIES = 20;
const COMFORT_ENDS = ["could not be worse", "could not be better"] as const;

/** Day, revision worn, comfort, plies and a note. */
export function FittingForm({ fitting, number, onChange }: FittingFormProps) {
  const path = `fit.fittings.${number.toString()}`;
  const comfort = (label: string, name: "comfort" | "comfort_best" | "comfort_worst") => (
    <ScoreField
      label={label}
      value={fitting[name]}
      ends={COMFORT_ENDS}
      path={`${path}.${name}`}
      onChange={(value) => onChange({ [name]: value })}
    />
  );
  return (
    <div className="form">
      <DateField
        label="Day"
        value={fitting.date}
        path={`${path}.date`}
        ahead="This day is yet to come: correct it."
        onChange={(date) => onChange({ date })}
      />
      <WornField
        revision={fitting.revision}
        path={`${path}.revision`}
        onChange={(revision) => onChange({ revision })}
      />
      {comfort("Comfort now, 0 to 10", "comfort")}
      <details className="more wide">
        <summary>Comfort at best and at worst</summary>
        {comfort("Comfort at best", "comfort_best")}
        {comfort("Comfort at worst", "comfort_worst")}
      </details>
      <StepField
        label="Sock ply"
        one="ply"
        value={fitting.ply}
        most={MOST_PLIES}
        path={`${path}.ply`}
        onChange={(ply) => onChange({ ply })}
      />
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
      <div className="wide">
        <TextField
          label="Note (no names)"
          value={fitting.note}
          path={`${path}.note`}
          onChange={(note) => onChange({ note })}
        />
      </div>
    </div>
  );
}
