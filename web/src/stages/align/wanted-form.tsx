import type { AlignPlan } from "../../api/document";
import { useSection } from "../../case/case-context";
import { NumberField } from "../../components/number-field";

const WANTED = [
  { name: "wanted_forward_mm", label: "Foot forward by", unit: "mm", step: 1 },
  { name: "wanted_outward_mm", label: "Foot outward by", unit: "mm", step: 1 },
  { name: "wanted_foot_flexion_deg", label: "Foot: toes up by", unit: "deg", step: 0.5 },
  { name: "wanted_foot_adduction_deg", label: "Foot: outer border up by", unit: "deg", step: 0.5 },
] as const;

const IF_NAMED = [
  { name: "wanted_up_mm", label: "Foot up by (leg shorter)", unit: "mm", step: 1 },
  { name: "wanted_toe_out_deg", label: "Toes outward by", unit: "deg", step: 1 },
  { name: "wanted_coronal_n_m", label: "Coronal moment at mid stance", unit: "N·m", step: 1 },
  { name: "wanted_sagittal_n_m", label: "Sagittal moment at mid stance", unit: "N·m", step: 1 },
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
      {IF_NAMED.map(({ name, label, unit, step }) => (
        <NumberField
          key={name}
          label={label}
          value={align[name]}
          unit={unit}
          step={step}
          fallback="as it comes"
          path={`align.${name}`}
          onChange={(value) => change({ [name]: value } as Partial<AlignPlan>)}
          onDefault={() => change({ [name]: null } as Partial<AlignPlan>)}
        />
      ))}
    </div>
  );
}
