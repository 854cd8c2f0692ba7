import type { PartsPlan } from "../../api/document";
import { useSection } from "../../case/case-context";
import { Block } from "../../components/block";
import { NumberField } from "../../components/number-field";
import type { Kg } from "../../units/quantities";
import { mm } from "../../units/quantities";

const HEIGHTS = [
  { name: "datum_floor_mm", label: "Mid-patellar tendon to floor, sound side, in the shoe" },
  { name: "plate_mm", label: "Plate under the socket" },
  { name: "socket_adapter_mm", label: "Adapter at the socket" },
  { name: "foot_adapter_mm", label: "Adapter at the foot" },
  { name: "foot_mm", label: "Foot, pyramid to sole" },
  { name: "pylon_minimum_mm", label: "Shortest tube that can be clamped" },
] as const;

const ALWAYS = [
  { name: "shoe_heel_mm", label: "Heel of the shoe" },
  { name: "pylon_outside_mm", label: "Tube, outside diameter" },
  { name: "pylon_wall_mm", label: "Tube, wall" },
] as const;

/** Heights and masses of the parts between socket and floor. */
export function PartsForm() {
  const [couple, change] = useSection("couple");
  const { parts } = couple;
  const set = (part: Partial<PartsPlan>): void => change({ parts: { ...parts, ...part } });
  return (
    <Block title="Parts in hand">
      <p className="remark">What stays empty is a marked default or an estimate.</p>
      <div className="form">
        {HEIGHTS.map(({ name, label }) => (
          <NumberField
            key={name}
            label={label}
            value={parts[name]}
            unit="mm"
            digits={0}
            fallback={name === "datum_floor_mm" ? "estimated" : "default"}
            path={`couple.parts.${name}`}
            onChange={(height) => set({ [name]: mm(height) })}
            onDefault={() => set({ [name]: null })}
          />
        ))}
        {ALWAYS.map(({ name, label }) => (
          <NumberField
            key={name}
            label={label}
            value={parts[name]}
            unit="mm"
            path={`couple.parts.${name}`}
            onChange={(height) => set({ [name]: mm(height) })}
          />
        ))}
        <NumberField
          label="Mass of the shoe"
          value={parts.shoe_mass_kg}
          unit="kg"
          digits={2}
          step={0.05}
          path="couple.parts.shoe_mass_kg"
          onChange={(mass) => set({ shoe_mass_kg: mass as Kg })}
        />
        <NumberField
          label="Mass of the whole prosthesis, shoe on"
          value={parts.prosthesis_mass_kg}
          unit="kg"
          digits={2}
          step={0.05}
          fallback="default"
          path="couple.parts.prosthesis_mass_kg"
          onChange={(mass) => set({ prosthesis_mass_kg: mass as Kg })}
          onDefault={() => set({ prosthesis_mass_kg: null })}
        />
      </div>
    </Block>
  );
}
