import type { AdapterKind, AdapterPlan } from "../../api/document";
import { Block } from "../../components/block";
import { NumberField } from "../../components/number-field";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { useSection } from "../../workshop/case-context";
import { useResults } from "../../workshop/use-viewer";

const SETTINGS = {
  pyramid: [
    { name: "flexion_deg", label: "Turned: flexion", unit: "deg", step: 0.5 },
    { name: "adduction_deg", label: "Turned: adduction", unit: "deg", step: 0.5 },
  ],
  slide: [
    { name: "forward_mm", label: "Slid forward", unit: "mm", step: 0.5 },
    { name: "outward_mm", label: "Slid outward", unit: "mm", step: 0.5 },
  ],
  rotation: [{ name: "turn_deg", label: "Turned outward", unit: "deg", step: 1 }],
  tube_clamp: [
    { name: "turn_deg", label: "Tube turned outward", unit: "deg", step: 1 },
    { name: "length_mm", label: "Tube drawn out", unit: "mm", step: 0.5 },
  ],
  offset: [{ name: "offset_mm", label: "Step aside", unit: "mm", step: 0.5 }],
} as const;

const RANGE_DEG = {
  name: "range_deg",
  label: "Range to each side",
  unit: "deg",
  step: 0.5,
} as const;
const RANGE_MM = { name: "range_mm", label: "Range to each side", unit: "mm", step: 0.5 } as const;
const PITCH = {
  name: "screw_pitch_mm",
  label: "Pitch of the screws",
  unit: "mm",
  step: 0.05,
} as const;
const ARM = { name: "screw_arm_mm", label: "Screw to centre", unit: "mm", step: 0.5 } as const;
const AZIMUTH = {
  name: "azimuth_deg",
  label: "Axes turned outward",
  unit: "deg",
  step: 1,
} as const;

/** Figures of the part in hand; what is left open takes a marked default. */
const FIGURES: Readonly<
  Record<AdapterKind, readonly (typeof RANGE_DEG | typeof RANGE_MM | typeof PITCH | typeof ARM)[]>
> = {
  pyramid: [RANGE_DEG, PITCH, ARM],
  slide: [RANGE_MM],
  rotation: [RANGE_DEG],
  tube_clamp: [RANGE_MM],
  offset: [],
};

/** The adapters from the socket down: how each is set, and the figures of the part in hand. */
export function AdaptersForm() {
  const [align, change] = useSection("align");
  const chain = useResults("align")?.chain;
  const { number } = useUnits();
  const set = (index: number, part: Partial<AdapterPlan>): void =>
    change({ adapters: align.adapters.map((old, i) => (i === index ? { ...old, ...part } : old)) });
  return (
    <Block title="Adapters">
      {align.adapters.map((adapter, index) => {
        const path = `align.adapters.${index.toString()}`;
        // The chain in use may begin with a default one that the case does not list.
        const inUse = chain?.length === align.adapters.length ? chain[index] : undefined;
        return (
          <details className="more" key={path}>
            <summary>
              At the {adapter.place}: {named(adapter.kind)}
            </summary>
            <div className="form">
              {[...SETTINGS[adapter.kind], AZIMUTH].map(({ name, label, unit, step }) => (
                <NumberField
                  key={name}
                  label={label}
                  value={adapter[name]}
                  unit={unit}
                  digits={1}
                  step={step}
                  path={`${path}.${name}`}
                  onChange={(value) => set(index, { [name]: value } as Partial<AdapterPlan>)}
                />
              ))}
              {FIGURES[adapter.kind].map(({ name, label, unit, step }) => (
                <NumberField
                  key={name}
                  label={label}
                  value={adapter[name]}
                  unit={unit}
                  digits={name === "screw_pitch_mm" ? 2 : 1}
                  step={step}
                  fallback={inUse === undefined ? undefined : number(inUse[name], unit)}
                  path={`${path}.${name}`}
                  onChange={(value) => set(index, { [name]: value } as Partial<AdapterPlan>)}
                  onDefault={() => set(index, { [name]: null } as Partial<AdapterPlan>)}
                />
              ))}
            </div>
          </details>
        );
      })}
    </Block>
  );
}
