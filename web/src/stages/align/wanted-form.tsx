import type { AlignPlan } from "../../api/document";
import { NumberField } from "../../components/number-field";
import { useSection } from "../../workshop/case-context";

const WANTED = [
  { name: "wanted_forward_mm", label: "Foot forward by", unit: "mm", step: 1 },
  { name: "wanted_outward_mm", label: "Foot outward by", unit: "mm", step: 1 },
  { name: "wanted_foot_flexion_deg", label: "Foot: toes up by", unit: "deg", step: 0.5 },
  { name: "wanted_foot_adduction_deg", label: "Foot: outer border up by", unit: "deg", step: 0.5 },
] as const;

/** The change that is wanted of the foot; the answer is in screw turns. */
export function WantedForm() {
  const [align, change] = useSection("align");
  return (
    <div className="form">
      {WANTED.map(({ name, label, unit, step }) => (
        <NumberField
          key={name}
          label={label}
          value={align[name]}
          unit={unit}
          step={step}
          path={`align.${name}`}
          onChange={(value) => change({ [name]: value } as Partial<AlignPlan>)}
        />
      ))}
    </div>
  );
}
