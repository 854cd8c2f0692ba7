import { SegmentedChoice } from "../components/choice-field";
import { useUnits } from "../units/units-context";

/** Units of display, speeds with the lengths; what is stored stays in mm, kg and m/s. */
export function UnitSwitch() {
  const { choice, choose } = useUnits();
  return (
    <div className="unit-switch">
      <SegmentedChoice
        label="Length"
        labelHidden
        value={choice.length}
        options={[
          { value: "mm", label: "mm" },
          { value: "inch", label: "inch" },
        ]}
        onChange={(length) => choose({ ...choice, length })}
      />
      <SegmentedChoice
        label="Mass"
        labelHidden
        value={choice.mass}
        options={[
          { value: "kg", label: "kg" },
          { value: "lb", label: "lb" },
        ]}
        onChange={(mass) => choose({ ...choice, mass })}
      />
    </div>
  );
}
