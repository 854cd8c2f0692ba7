import { useState } from "react";
import type { AdapterKind, AdapterPlan } from "../../api/document";
import { useSection } from "../../case/case-context";
import { Block } from "../../components/block";
import { SelectField } from "../../components/choice-field";
import { NumberField } from "../../components/number-field";
import { degrees, mm } from "../../units/quantities";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
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
  const put = (adapters: readonly AdapterPlan[]): void => change({ adapters });
  const set = (index: number, part: Partial<AdapterPlan>): void =>
    put(align.adapters.map((old, i) => (i === index ? { ...old, ...part } : old)));
  return (
    <Block title="Adapters" entry="align.adapters">
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
            {adapter.kind === "pyramid" ? null : (
              <button
                type="button"
                onClick={() => put(align.adapters.filter((_, i) => i !== index))}
              >
                Take out of the chain
              </button>
            )}
          </details>
        );
      })}
      <AddAdapter onAdd={(adapter) => put(added(align.adapters, adapter))} />
    </Block>
  );
}

/** The list runs from the socket down: what is added comes last at its end of the tube. */
function added(adapters: readonly AdapterPlan[], adapter: AdapterPlan): readonly AdapterPlan[] {
  const upper = adapters.filter(({ place }) => place === "socket");
  const lower = adapters.filter(({ place }) => place === "foot");
  // The lowest pyramid at the foot is its own: what is added there stands over it.
  return adapter.place === "socket"
    ? [...upper, adapter, ...lower]
    : [...upper, ...lower.slice(0, -1), adapter, ...lower.slice(-1)];
}

const PLACES = [
  { value: "socket", label: "At the socket" },
  { value: "foot", label: "At the foot" },
] as const;

const KINDS = (["slide", "tube_clamp", "rotation", "offset", "pyramid"] as const).map((value) => ({
  value,
  label: named(value),
}));

function AddAdapter({ onAdd }: { onAdd: (adapter: AdapterPlan) => void }) {
  const [place, setPlace] = useState<AdapterPlan["place"]>("socket");
  const [kind, setKind] = useState<AdapterKind>("slide");
  return (
    <div className="form">
      <SelectField label="Another adapter" value={kind} options={KINDS} onChange={setKind} />
      <SelectField label="Its place" value={place} options={PLACES} onChange={setPlace} />
      <button type="button" onClick={() => onAdd(resting(place, kind))}>
        Add
      </button>
    </div>
  );
}

/** An adapter in its middle; an offset adapter has a step, which is to be corrected. */
function resting(place: AdapterPlan["place"], kind: AdapterKind): AdapterPlan {
  return {
    place,
    kind,
    flexion_deg: degrees(0),
    adduction_deg: degrees(0),
    forward_mm: mm(0),
    outward_mm: mm(0),
    turn_deg: degrees(0),
    length_mm: mm(0),
    offset_mm: mm(kind === "offset" ? 10 : 0),
    azimuth_deg: degrees(0),
    height_mm: null,
    range_deg: null,
    range_mm: null,
    screw_pitch_mm: null,
    screw_arm_mm: null,
  };
}
