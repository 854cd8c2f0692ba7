import { useState } from "react";
import type { MeasureName } from "../../api/document";
import { useSection } from "../../case/case-context";
import { Block } from "../../components/block";
import { SelectField } from "../../components/choice-field";
import { DateField } from "../../components/date-field";
import { NumberField } from "../../components/number-field";
import { useListFocus } from "../../components/use-list-focus";
import { fittingDigits, METRIC, speedText, usualDigits } from "../../units/display";
import { today } from "../../units/today";
import { useUnits } from "../../units/units-context";
import { useResults } from "../../workshop/use-viewer";

const MEASURES: Readonly<Record<MeasureName, { readonly name: string; readonly unit: string }>> = {
  amppro: { name: "AMPPRO", unit: "points" },
  ampnopro: { name: "AMPnoPRO", unit: "points" },
  two_minute_walk: { name: "2-minute walk", unit: "m" },
  six_minute_walk: { name: "6-minute walk", unit: "m" },
  ten_metre_walk: { name: "10-metre walk", unit: "m/s" },
  timed_up_and_go: { name: "Timed up and go", unit: "s" },
  l_test: { name: "L test", unit: "s" },
  four_square_step: { name: "Four square step test", unit: "s" },
  socket_comfort: { name: "Socket comfort score", unit: "points" },
};

const CHOICES = (Object.keys(MEASURES) as MeasureName[]).map((value) => ({
  value,
  label: MEASURES[value].name,
}));

/** Totals of outcome measures with their dates, and the class that each speaks for. */
export function Scores() {
  const [person, change] = useSection("person");
  const readings = useResults("assess")?.scores ?? [];
  const { choice, text } = useUnits();
  const write = (value: number, unit: string, digits?: number): string =>
    unit === "m/s" ? speedText(value, choice, digits) : text(value, unit, digits);
  const { heading, removing } = useListFocus(person.scores.length);
  return (
    <Block title="Scores" heading={heading}>
      {person.scores.length === 0 ? (
        <p className="remark">None yet. Totals and dates are kept, never single answers.</p>
      ) : (
        <table className="table">
          <thead>
            <tr>
              <th scope="col">Measure</th>
              <th scope="col" className="number">
                Total
              </th>
              <th scope="col">Speaks for</th>
              <th scope="col">
                <span className="unseen">Actions</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {person.scores.map((score, index) => {
              const { name, unit } = MEASURES[score.measure];
              const reading = readings.find(
                (one) =>
                  one.measure === score.measure && one.on === score.on && one.value === score.value,
              );
              return (
                <tr key={`${score.measure} ${score.on} ${index.toString()}`}>
                  <th scope="row">
                    {name} <span className="quiet">{score.on}</span>
                  </th>
                  <td className="number">{write(score.value, unit, fittingDigits(score.value))}</td>
                  <td>
                    {reading?.class_by_cut_off ??
                      (reading?.class_by_nearest_mean
                        ? `nearest mean: ${reading.class_by_nearest_mean}`
                        : "–")}
                    {reading?.change === null || reading?.change === undefined
                      ? ""
                      : `, ${reading.change > 0 ? "+" : ""}${write(reading.change, unit)}${
                          reading.least_change !== null &&
                          Math.abs(reading.change) < reading.least_change
                            ? " (may be no change)"
                            : ""
                        }`}
                  </td>
                  <td className="row-actions">
                    <button
                      type="button"
                      onClick={() =>
                        removing(() =>
                          change({ scores: person.scores.filter((_, i) => i !== index) }),
                        )
                      }
                    >
                      Remove<span className="unseen"> {name}</span>
                    </button>
                  </td>
                </tr>
              );
            })}
          </tbody>
        </table>
      )}
      <AddScore
        onAdd={(measure, value, on) =>
          change({ scores: [...person.scores, { measure, value, on }] })
        }
      />
    </Block>
  );
}

function AddScore({ onAdd }: { onAdd: (measure: MeasureName, value: number, on: string) => void }) {
  const [measure, setMeasure] = useState<MeasureName>("amppro");
  const [value, setValue] = useState<number | null>(null);
  const [on, setOn] = useState(today);
  const { choice } = useUnits();
  const unit = MEASURES[measure].unit;
  const inMiles = unit === "m/s" && speedText(1, choice) !== speedText(1, METRIC);
  return (
    <div className="form">
      <SelectField label="Another score" value={measure} options={CHOICES} onChange={setMeasure} />
      <NumberField
        label="Its total"
        value={value}
        unit={unit}
        digits={usualDigits(unit)}
        fallback="enter"
        hint={inMiles && value !== null ? speedText(value, METRIC) : undefined}
        onChange={setValue}
        onDefault={() => setValue(null)}
      />
      <DateField
        label="Day"
        value={on}
        ahead="This day is yet to come: correct it."
        onChange={setOn}
      />
      <button
        type="button"
        className="add-button"
        disabled={value === null}
        onClick={() => {
          if (value !== null) {
            onAdd(measure, value, on);
            setValue(null);
          }
        }}
      >
        Add the score
      </button>
    </div>
  );
}
