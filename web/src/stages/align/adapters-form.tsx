import type { AdapterPlan } from "../../api/document";
import { Block } from "../../components/block";
import { NumberField } from "../../components/number-field";
import { useSection } from "../../workshop/case-context";

const FIGURES = [
  { name: "flexion_deg", label: "Turned: flexion", unit: "deg", step: 0.5 },
  { name: "adduction_deg", label: "Turned: adduction", unit: "deg", step: 0.5 },
  { name: "range_deg", label: "Range to each side", unit: "deg", step: 0.5 },
  { name: "screw_pitch_mm", label: "Pitch of the screws", unit: "mm", step: 0.05 },
  { name: "screw_arm_mm", label: "Screw to centre", unit: "mm", step: 0.5 },
] as const;

/** The four-screw adapters: what is turned already, and the figures of the part in hand. */
export function AdaptersForm() {
  const [align, change] = useSection("align");
  const set = (index: number, part: Partial<AdapterPlan>): void =>
    change({ adapters: align.adapters.map((old, i) => (i === index ? { ...old, ...part } : old)) });
  return (
    <Block title="Adapters">
      {align.adapters.map((adapter, index) => (
        <details className="more" key={adapter.place}>
          <summary>At the {adapter.place}</summary>
          <div className="form">
            {FIGURES.map(({ name, label, unit, step }) => (
              <NumberField
                key={name}
                label={label}
                value={adapter[name]}
                unit={unit}
                digits={name === "screw_pitch_mm" ? 2 : 1}
                step={step}
                path={`align.adapters.${index.toString()}.${name}`}
                onChange={(value) => set(index, { [name]: value } as Partial<AdapterPlan>)}
              />
            ))}
          </div>
        </details>
      ))}
    </Block>
  );
}
