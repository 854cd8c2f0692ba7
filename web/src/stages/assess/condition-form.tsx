import type { Condition } from "../../api/document";
import { useSection } from "../../case/case-context";
import { AskedField, YesNoField } from "../../components/asked-fields";
import { Block } from "../../components/block";

const AMOUNTS = [
  { value: "little", label: "little" },
  { value: "usual", label: "as usual" },
  { value: "much", label: "much" },
] as const;

const CHOICES = [
  {
    name: "hands",
    label: "Hands",
    options: [
      { value: "full", label: "full use" },
      { value: "weak", label: "weak, no hard pull" },
      { value: "poor", label: "poor grip or aim" },
    ],
  },
  {
    name: "sight",
    label: "Sight, at the limb’s end",
    options: [
      { value: "full", label: "full" },
      { value: "reduced", label: "reduced" },
      { value: "poor", label: "poor" },
    ],
  },
  {
    name: "help",
    label: "Help with donning",
    options: [
      { value: "none", label: "none" },
      { value: "sometimes", label: "sometimes" },
      { value: "daily", label: "daily" },
    ],
  },
  {
    name: "follows_instructions",
    label: "Follows instructions",
    options: [
      { value: "reliably", label: "reliably" },
      { value: "mostly", label: "mostly" },
      { value: "poorly", label: "poorly" },
    ],
  },
  { name: "perspiration", label: "Perspiration", options: AMOUNTS },
  { name: "daily_volume_change", label: "Volume change over a day", options: AMOUNTS },
] as const;

const QUESTIONS = [
  { name: "pain_when_pulled", label: "Pain at the end when pulled" },
  { name: "implanted_device", label: "Pacemaker or other implant" },
  { name: "metal_dust", label: "Works among iron dust" },
  { name: "both_sides", label: "Prosthesis on both sides" },
  { name: "kneels", label: "Kneels or bends deeply" },
  { name: "short_thigh", label: "Short thigh" },
  { name: "full_thigh", label: "Full thigh" },
] as const;

/** What decides whether a suspension can be lived with. */
export function ConditionForm() {
  const [person, change] = useSection("person");
  const { condition } = person;
  const set = (part: Partial<Condition>): void => change({ condition: { ...condition, ...part } });
  return (
    <Block title="Hands, sight and daily life">
      <div className="form">
        {CHOICES.map(({ name, label, options }) => (
          <AskedField<string>
            key={name}
            label={label}
            value={condition[name]}
            options={options}
            path={`person.condition.${name}`}
            onChange={(value) => set({ [name]: value } as Partial<Condition>)}
          />
        ))}
        {QUESTIONS.map(({ name, label }) => (
          <YesNoField
            key={name}
            label={label}
            value={condition[name]}
            path={`person.condition.${name}`}
            onChange={(value) => set({ [name]: value })}
          />
        ))}
      </div>
    </Block>
  );
}
