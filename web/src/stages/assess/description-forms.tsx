import type { LimbDescription, SocketDescription } from "../../api/document";
import { useSection } from "../../case/case-context";
import { AskedField, YesNoField } from "../../components/asked-fields";
import { Block } from "../../components/block";
import { NumberField } from "../../components/number-field";
import { TextField } from "../../components/text-field";
import { degrees } from "../../units/quantities";

/** A term of the standard as its own label, with the trade's word where there is another. */
const terms = <Value extends string>(
  values: readonly Value[],
  trade: Partial<Record<Value, string>> = {},
): { value: Value; label: string }[] =>
  values.map((value) => {
    const word = trade[value];
    return { value, label: word === undefined ? value : `${value} (${word})` };
  });

const LIMB_TERMS = [
  {
    name: "shape",
    label: "Shape",
    options: terms(["conical", "bulbous", "cylindrical"], { bulbous: "club-shaped" }),
  },
  {
    name: "tissue_amount",
    label: "Soft tissue: amount",
    options: terms(["sufficient", "insufficient", "excessive"]),
  },
  {
    name: "tissue_consistency",
    label: "Soft tissue: consistency",
    options: terms(["normal", "flabby", "indurated"], { indurated: "hardened" }),
  },
  {
    name: "musculature",
    label: "Musculature",
    options: terms(["attached", "detached", "displaced"], {
      attached: "myodesis or myoplasty holding",
    }),
  },
  { name: "sensation", label: "Sensation", options: terms(["normal", "reduced", "absent"]) },
  { name: "scar_mobility", label: "Scar: mobility", options: terms(["mobile", "adherent"]) },
  {
    name: "colour",
    label: "Colour of the skin",
    options: terms(["normal", "cyanotic", "discoloured"]),
  },
] as const;

const LIMB_QUESTIONS = [
  { name: "end_bearing", label: "Bears on its end" },
  { name: "skin_intact", label: "Skin intact" },
  { name: "scar_healed", label: "Scar healed" },
  { name: "scar_invaginated", label: "Scar drawn in" },
  { name: "grafts", label: "Grafts" },
  { name: "dermatitis", label: "Dermatitis" },
  { name: "hyperhidrosis", label: "Excessive sweating" },
  { name: "warm", label: "Warm" },
  { name: "excessive_oedema", label: "Excessive oedema" },
  { name: "neuroma", label: "Neuroma" },
  { name: "knee_stable", label: "Knee stable" },
] as const;

const LIMB_TEXTS = [
  { name: "bony_prominences", label: "Bony prominences" },
  { name: "foreign_bodies", label: "Foreign bodies" },
  { name: "scar_position", label: "Where the scar is" },
  { name: "allergy", label: "Allergy" },
] as const;

const PAINS = [
  { name: "pain_0_10", label: "Pain, 0 to 10" },
  { name: "phantom_pain_0_10", label: "Phantom pain, 0 to 10" },
] as const;

/** The residual limb in the terms of ISO 8548-2, with the trade's words beside them. */
export function LimbDescriptionForm() {
  const [person, change] = useSection("person");
  const { limb } = person;
  const set = (part: Partial<LimbDescription>): void => change({ limb: { ...limb, ...part } });
  const path = (name: string): string => `person.limb.${name}`;
  return (
    <Block title="Residual limb">
      <details className="more">
        <summary>Description by ISO 8548-2</summary>
        <div className="form">
          {LIMB_TERMS.map(({ name, label, options }) => (
            <AskedField<string>
              key={name}
              label={label}
              value={limb[name]}
              options={options}
              wide={options.some((one) => one.label.length > 18)}
              path={path(name)}
              onChange={(value) => set({ [name]: value } as Partial<LimbDescription>)}
            />
          ))}
          {LIMB_QUESTIONS.map(({ name, label }) => (
            <YesNoField
              key={name}
              label={label}
              value={limb[name]}
              path={path(name)}
              onChange={(value) => set({ [name]: value })}
            />
          ))}
          {PAINS.map(({ name, label }) => (
            <NumberField
              key={name}
              label={label}
              value={limb[name]}
              unit=""
              digits={0}
              fallback="not asked"
              path={path(name)}
              onChange={(value) => set({ [name]: value })}
              onDefault={() => set({ [name]: null })}
            />
          ))}
          <NumberField
            label="Largest flexion of the knee"
            value={limb.knee_flexion_deg}
            unit="deg"
            digits={0}
            step={5}
            fallback="not asked"
            path={path("knee_flexion_deg")}
            onChange={(value) => set({ knee_flexion_deg: degrees(value) })}
            onDefault={() => set({ knee_flexion_deg: null })}
          />
          {LIMB_TEXTS.map(({ name, label }) => (
            <TextField
              key={name}
              label={label}
              value={limb[name]}
              path={path(name)}
              onChange={(text) => set({ [name]: text })}
            />
          ))}
        </div>
      </details>
      <SocketDescriptionForm />
    </Block>
  );
}

const AXIAL = terms(["proximal", "distal", "total socket"], {
  proximal: "patellar-tendon bearing",
  distal: "end bearing",
  "total socket": "total surface bearing, a discouraged name",
});

const SOCKET_TEXTS = [
  { name: "antero_posterior", label: "Holds forward and back by" },
  { name: "medio_lateral", label: "Holds sideways by" },
  { name: "rotational", label: "Holds against turning by" },
] as const;

/** The socket in the terms of ISO 13405-2. */
function SocketDescriptionForm() {
  const [socket, change] = useSection("socket");
  const set = (part: Partial<SocketDescription>): void => change(part);
  return (
    <details className="more">
      <summary>Socket by ISO 13405-2</summary>
      <div className="form">
        <AskedField<string>
          label="Takes the axial load"
          value={socket.axial_stabilization}
          options={AXIAL}
          wide
          path="socket.axial_stabilization"
          onChange={(value) => set({ axial_stabilization: value } as Partial<SocketDescription>)}
        />
        <YesNoField
          label="Liner modifies the forces"
          value={socket.liner_modifies}
          path="socket.liner_modifies"
          onChange={(value) => set({ liner_modifies: value })}
        />
        {SOCKET_TEXTS.map(({ name, label }) => (
          <TextField
            key={name}
            label={label}
            value={socket[name]}
            path={`socket.${name}`}
            onChange={(text) => set({ [name]: text })}
          />
        ))}
      </div>
    </details>
  );
}
