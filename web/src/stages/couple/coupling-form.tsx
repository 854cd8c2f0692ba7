import type { CouplingKind, CouplingPlan } from "../../api/document";
import { useSection } from "../../case/case-context";
import { Block } from "../../components/block";
import { SelectField } from "../../components/choice-field";
import { NumberField } from "../../components/number-field";
import type { Newton } from "../../units/quantities";
import { degrees, mm } from "../../units/quantities";
import { named } from "../../words/words";
import { AXIS_LABELS } from "./axis-table";

const KINDS: readonly CouplingKind[] = [
  "pin",
  "magnet",
  "lanyard",
  "suction",
  "vacuum",
  "sleeve",
  "strap",
];

const AXES = (["balanced", "distal", "socket", "limb", "chosen"] as const).map((value) => ({
  value,
  label: AXIS_LABELS[value],
}));

/** The coupling: kind, axis, spacing, and the figures of the part in hand. */
export function CouplingForm() {
  const [couple, change] = useSection("couple");
  const { coupling } = couple;
  const set = (part: Partial<CouplingPlan>): void => change({ coupling: { ...coupling, ...part } });
  return (
    <Block title="Coupling">
      <div className="form">
        <SelectField
          label="Kind"
          value={coupling.kind}
          path="couple.coupling.kind"
          options={KINDS.map((value) => ({ value, label: named(value) }))}
          onChange={(kind) => set({ kind })}
        />
        <SelectField
          label="Axis that it is set on"
          value={coupling.axis}
          path="couple.coupling.axis"
          options={AXES}
          wide
          onChange={(axis) => set({ axis })}
        />
        {coupling.axis === "chosen" ? <TiltFields coupling={coupling} set={set} /> : null}
        <NumberField
          label="Gap between liner cap and coupling"
          value={coupling.spacing_mm}
          unit="mm"
          step={0.5}
          path="couple.coupling.spacing_mm"
          onChange={(spacing) => set({ spacing_mm: mm(spacing) })}
        />
        <NumberField
          label="Shifted laterally"
          value={coupling.offset_o_mm}
          unit="mm"
          path="couple.coupling.offset_o_mm"
          onChange={(offset) => set({ offset_o_mm: mm(offset) })}
        />
        <NumberField
          label="Shifted anteriorly"
          value={coupling.offset_f_mm}
          unit="mm"
          path="couple.coupling.offset_f_mm"
          onChange={(offset) => set({ offset_f_mm: mm(offset) })}
        />
        <NumberField
          label="Exit, from lateral towards anterior"
          value={coupling.exit_angle_deg}
          unit="deg"
          digits={0}
          step={15}
          hint="90 is anterior, 180 medial."
          path="couple.coupling.exit_angle_deg"
          onChange={(angle) => set({ exit_angle_deg: degrees(angle) })}
        />
      </div>
      <details className="more">
        <summary>Figures of the part in hand</summary>
        <p className="remark">From its maker’s data sheet. What stays empty is a marked default.</p>
        <PartFigures coupling={coupling} set={set} />
      </details>
    </Block>
  );
}

interface PartProps {
  readonly coupling: CouplingPlan;
  readonly set: (part: Partial<CouplingPlan>) => void;
}

function TiltFields({ coupling, set }: PartProps) {
  return (
    <>
      <NumberField
        label="Tilt: end anterior"
        value={coupling.tilt_forward_deg}
        unit="deg"
        step={0.5}
        path="couple.coupling.tilt_forward_deg"
        onChange={(tilt) => set({ tilt_forward_deg: degrees(tilt) })}
      />
      <NumberField
        label="Tilt: end medial"
        value={coupling.tilt_inward_deg}
        unit="deg"
        step={0.5}
        path="couple.coupling.tilt_inward_deg"
        onChange={(tilt) => set({ tilt_inward_deg: degrees(tilt) })}
      />
    </>
  );
}

const OPTIONAL_LENGTHS = [
  { name: "body_diameter_mm", label: "Diameter of the body" },
  { name: "body_height_mm", label: "Height of the body" },
  { name: "target_diameter_mm", label: "Diameter of the target" },
  { name: "tolerance_offset_mm", label: "Offset that it takes" },
] as const;

const LENGTHS = [
  { name: "screw_square_mm", label: "Square of the four screws" },
  { name: "screw_diameter_mm", label: "Diameter of the screws" },
  { name: "exit_diameter_mm", label: "Diameter of the exit" },
] as const;

function PartFigures({ coupling, set }: PartProps) {
  return (
    <div className="form">
      {OPTIONAL_LENGTHS.map(({ name, label }) => (
        <NumberField
          key={name}
          label={label}
          value={coupling[name]}
          unit="mm"
          fallback="default"
          path={`couple.coupling.${name}`}
          onChange={(value) => set({ [name]: mm(value) })}
          onDefault={() => set({ [name]: null })}
        />
      ))}
      <NumberField
        label="Tilt that it takes"
        value={coupling.tolerance_tilt_deg}
        unit="deg"
        fallback="default"
        path="couple.coupling.tolerance_tilt_deg"
        onChange={(tilt) => set({ tolerance_tilt_deg: degrees(tilt) })}
        onDefault={() => set({ tolerance_tilt_deg: null })}
      />
      <NumberField
        label="Holding force along the axis"
        value={coupling.capacity_n}
        unit="N"
        digits={0}
        step={10}
        fallback="default"
        path="couple.coupling.capacity_n"
        onChange={(force) => set({ capacity_n: force as Newton })}
        onDefault={() => set({ capacity_n: null })}
      />
      {LENGTHS.map(({ name, label }) => (
        <NumberField
          key={name}
          label={label}
          value={coupling[name]}
          unit="mm"
          step={0.5}
          path={`couple.coupling.${name}`}
          onChange={(value) => set({ [name]: mm(value) })}
        />
      ))}
    </div>
  );
}
