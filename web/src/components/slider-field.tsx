import { useUnits } from "../units/units-context";
import { NumberField } from "./number-field";

interface SliderFieldProps {
  readonly label: string;
  /** What the two ends mean, in words; left out where the surroundings say it. */
  readonly ends?: readonly [string, string];
  readonly value: number | null;
  /** Where the thumb stands while the value is left to its default. */
  readonly resting: number;
  readonly range: readonly [number, number];
  readonly unit: string;
  readonly step: number;
  readonly onChange: (stored: number) => void;
  readonly onDefault?: () => void;
  readonly fallback?: string;
  readonly path?: string;
  /** How the value reads aloud, where its number alone would not say enough. */
  readonly spoken?: string;
}

/** A slider with its number beside it: coarse by hand, exact by typing. */
export function SliderField(props: SliderFieldProps) {
  const { text } = useUnits();
  const at = props.value ?? props.resting;
  return (
    <div className="slider-field">
      <span className="slider-label" aria-hidden="true">
        {props.label}
      </span>
      <span className="slider-track">
        <input
          type="range"
          aria-label={`${props.label}, slider`}
          aria-valuetext={props.spoken ?? text(at, props.unit)}
          min={props.range[0]}
          max={props.range[1]}
          step={props.step}
          value={at}
          onChange={(event) => props.onChange(Number(event.target.value))}
        />
        {props.ends === undefined ? null : (
          <span className="slider-ends" aria-hidden="true">
            <span>{props.ends[0]}</span>
            <span>{props.ends[1]}</span>
          </span>
        )}
      </span>
      <NumberField
        label={props.label}
        labelHidden
        value={props.value}
        unit={props.unit}
        step={props.step}
        onChange={props.onChange}
        onDefault={props.onDefault}
        fallback={props.fallback}
        path={props.path}
      />
    </div>
  );
}
