import type { Activity, Person, Side } from "../api/document";
import { Block } from "../components/block";
import { SegmentedChoice, SelectField } from "../components/choice-field";
import { NumberField, type NumberFieldProps } from "../components/number-field";
import { TextField } from "../components/text-field";
import type { Degrees, Kg } from "../units/quantities";
import { mm } from "../units/quantities";
import { useUnits } from "../units/units-context";
import { ACTIVITIES } from "../words/activities";
import { type BodyEntry, bodyMeant, bodyRefusal } from "./person-bounds";

/** Nothing is filled in for the person: a side, a mass or a class is never guessed. */
export type EnteredPerson = Partial<Person>;

export const UNKNOWN_PERSON: EnteredPerson = {
  code: "",
  walking_speed_m_s: null,
  foot_length_mm: null,
  flexion_contracture_deg: 0 as Degrees,
  unusual_mass_confirmed: false,
  scores: [],
};

type Bounded = Pick<NumberFieldProps, "refuse" | "meant" | "onRefused">;

interface PersonEntryProps {
  readonly person: EnteredPerson;
  readonly title: string;
  readonly onTitle: (title: string) => void;
  readonly onPerson: (part: EnteredPerson) => void;
}

/** Who the leg is for: what no scan can tell. */
export function PersonEntry({ person, title, onTitle, onPerson }: PersonEntryProps) {
  const { choice, text } = useUnits();
  const bounded = (entry: BodyEntry): Bounded => ({
    refuse: (stored) => bodyRefusal(entry, stored, (value, unit) => text(value, unit, 0)),
    meant: (stored) => bodyMeant(entry, stored, choice),
    onRefused: () => onPerson({ [entry]: undefined }),
  });
  return (
    <Block title="Person">
      <div className="form">
        <TextField
          label="Code (never a name)"
          value={person.code ?? ""}
          onChange={(code) => onPerson({ code })}
        />
        <SegmentedChoice<Side | "">
          label="Side of the limb"
          value={person.side ?? ""}
          options={[
            { value: "left", label: "Left" },
            { value: "right", label: "Right" },
          ]}
          onChange={(side) => onPerson(side === "" ? {} : { side })}
        />
        <NumberField
          label="Body mass"
          value={person.mass_kg ?? null}
          unit="kg"
          {...bounded("mass_kg")}
          onChange={(mass) => onPerson({ mass_kg: mass as Kg })}
        />
        <NumberField
          label="Stature"
          value={person.stature_mm ?? null}
          unit="mm"
          digits={0}
          step={10}
          {...bounded("stature_mm")}
          onChange={(stature) => onPerson({ stature_mm: mm(stature) })}
        />
        <SelectField<Activity | "">
          label="Functional class"
          value={person.activity ?? ""}
          options={[{ value: "", label: "Choose …" }, ...ACTIVITIES]}
          wide
          onChange={(activity) => onPerson(activity === "" ? {} : { activity })}
        />
        <TextField
          label="Title (never a name)"
          hint="May stay empty."
          value={title}
          onChange={onTitle}
        />
      </div>
    </Block>
  );
}
