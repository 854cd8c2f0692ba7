import type { ProvePlan } from "../../api/document";
import { useInfo, useSection } from "../../case/case-context";
import { Block } from "../../components/block";
import { SelectField } from "../../components/choice-field";
import { NumberField } from "../../components/number-field";
import { TextField } from "../../components/text-field";
import type { Kpa } from "../../units/quantities";
import { mm } from "../../units/quantities";
import { materialChoice } from "./material-choice";

const PROCESSES: readonly { value: ProvePlan["process"]; label: string }[] = [
  { value: "walking_cast", label: "Walking cast, layered" },
  { value: "check_socket", label: "Check socket, thermoplastic" },
  { value: "printed", label: "Printed" },
  { value: "laminated", label: "Laminated" },
];

const LAYERED: ReadonlySet<ProvePlan["process"]> = new Set(["walking_cast", "laminated"]);

/** How the socket is made, of what, and what is assumed of the tissue. */
export function MaterialForm() {
  const [prove, change] = useSection("prove");
  const own = prove.own_material;
  const setOwn = (part: Partial<ProvePlan["own_material"]>): void =>
    change({ own_material: { ...own, ...part } });
  return (
    <Block title="Socket and material">
      <div className="form">
        <SelectField
          label="Made as"
          value={prove.process}
          options={PROCESSES}
          onChange={(process) => change({ process })}
        />
        <MaterialField prove={prove} change={change} />
        <NumberField
          label="Wall"
          value={prove.wall_mm}
          unit="mm"
          step={0.5}
          fallback="default"
          path="prove.wall_mm"
          onChange={(wall) => change({ wall_mm: mm(wall) })}
          onDefault={() => change({ wall_mm: null })}
        />
        <NumberField
          label="Plate at the end"
          value={prove.distal_plate_mm}
          unit="mm"
          step={0.5}
          fallback="default"
          path="prove.distal_plate_mm"
          onChange={(plate) => change({ distal_plate_mm: mm(plate) })}
          onDefault={() => change({ distal_plate_mm: null })}
        />
        {LAYERED.has(prove.process) ? <LayerFields prove={prove} change={change} /> : null}
      </div>
      <details className="more">
        <summary>Figures of your own material and of the tissue</summary>
        <div className="form">
          <NumberField
            label="Strength"
            value={own.strength_mpa}
            unit="MPa"
            fallback="from the table"
            path="prove.own_material.strength_mpa"
            onChange={(strength) => setOwn({ strength_mpa: strength })}
            onDefault={() => setOwn({ strength_mpa: null })}
          />
          <TextField
            label="Where these figures come from"
            value={own.source}
            path="prove.own_material.source"
            onChange={(source) => setOwn({ source })}
          />
          <TissueFields prove={prove} change={change} />
        </div>
      </details>
    </Block>
  );
}

interface FieldsProps {
  readonly prove: ProvePlan;
  readonly change: (part: Partial<ProvePlan>) => void;
}

const OWN = "own";

/** A material of the table for this way of making, or one of the practitioner's own. */
function MaterialField({ prove, change }: FieldsProps) {
  const { materials } = useInfo();
  const { options, value, own } = materialChoice(materials, prove);
  return (
    <>
      <SelectField
        label="Material"
        value={value}
        options={[...options, { value: OWN, label: "one of my own …" }]}
        path="prove.material"
        onChange={(material) => change({ material: material === OWN ? "own material" : material })}
      />
      {own ? (
        <TextField
          label="Name of your material"
          value={prove.material}
          required
          hint="Its strength is entered below, with where it comes from."
          path="prove.material"
          onChange={(material) => change({ material })}
        />
      ) : null}
    </>
  );
}

function LayerFields({ prove, change }: FieldsProps) {
  return (
    <>
      <NumberField
        label="Layers"
        value={prove.layers}
        unit=""
        digits={0}
        fallback="default"
        path="prove.layers"
        onChange={(layers) => change({ layers })}
        onDefault={() => change({ layers: null })}
      />
      <NumberField
        label="One layer"
        value={prove.layer_mm}
        unit="mm"
        digits={2}
        step={0.05}
        fallback="default"
        path="prove.layer_mm"
        onChange={(layer) => change({ layer_mm: mm(layer) })}
        onDefault={() => change({ layer_mm: null })}
      />
    </>
  );
}

function TissueFields({ prove, change }: FieldsProps) {
  const { tissue } = prove;
  const set = (part: Partial<ProvePlan["tissue"]>): void =>
    change({ tissue: { ...tissue, ...part } });
  return (
    <>
      <NumberField
        label="Tissue: modulus"
        value={tissue.modulus_kpa}
        unit="kPa"
        digits={0}
        step={5}
        fallback="default"
        path="prove.tissue.modulus_kpa"
        onChange={(modulus) => set({ modulus_kpa: modulus as Kpa })}
        onDefault={() => set({ modulus_kpa: null })}
      />
      <NumberField
        label="Tissue: Poisson’s ratio"
        value={tissue.poisson}
        unit=""
        digits={3}
        step={0.005}
        fallback="default"
        path="prove.tissue.poisson"
        onChange={(poisson) => set({ poisson })}
        onDefault={() => set({ poisson: null })}
      />
    </>
  );
}
