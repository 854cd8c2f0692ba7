import "./assess.css";
import type { LinerMaterial } from "../../api/document";
import { useDocument, useSection, useSession, useStage } from "../../case/case-context";
import { YesNoField } from "../../components/asked-fields";
import { Block } from "../../components/block";
import { SegmentedChoice, SelectField } from "../../components/choice-field";
import { Fact, Facts } from "../../components/fact";
import { NumberField } from "../../components/number-field";
import { StageResults } from "../../components/stage-results";
import { TextField } from "../../components/text-field";
import type { Kg, MetrePerSecond } from "../../units/quantities";
import { degrees, mm } from "../../units/quantities";
import { useUnits } from "../../units/units-context";
import { ACTIVITIES } from "../../words/activities";
import { named } from "../../words/words";
import { useResults } from "../../workshop/use-viewer";
import { ConditionForm } from "./condition-form";
import { LimbDescriptionForm } from "./description-forms";
import { Scores } from "./scores";
import { SuspensionList } from "./suspension-list";

const LINERS: readonly LinerMaterial[] = ["silicone", "urethane", "tpe", "foam", "none"];

/** The longest title that a case takes. */
const TITLE_LENGTH = 120;

/** Who the leg is for and what they wear. */
export function AssessPanel() {
  return (
    <>
      <PersonForm />
      <ConditionForm />
      <LimbDescriptionForm />
      <Scores />
      <LinerForm />
      <Loads />
    </>
  );
}

function PersonForm() {
  const [person, change] = useSection("person");
  const session = useSession();
  const { title } = useDocument();
  const { number } = useUnits();
  const results = useResults("assess");
  return (
    <Block title="Person">
      <div className="form">
        <TextField
          label="Code (never a name)"
          value={person.code}
          required
          path="person.code"
          onChange={(code) => change({ code })}
        />
        <TextField
          label="Title (never a name)"
          value={title}
          path="title"
          maxLength={TITLE_LENGTH}
          hint="May stay empty."
          onChange={(text) => session.edit("title", (now) => ({ ...now, title: text }))}
        />
        <SegmentedChoice
          label="Side of the limb"
          value={person.side}
          options={[
            { value: "left", label: "Left" },
            { value: "right", label: "Right" },
          ]}
          onChange={(side) => change({ side })}
        />
        <NumberField
          label="Body mass"
          value={person.mass_kg}
          unit="kg"
          path="person.mass_kg"
          onChange={(mass) => change({ mass_kg: mass as Kg })}
        />
        <NumberField
          label="Stature"
          value={person.stature_mm}
          unit="mm"
          digits={0}
          step={10}
          path="person.stature_mm"
          onChange={(stature) => change({ stature_mm: mm(stature) })}
        />
        <SelectField
          label="Functional class"
          value={person.activity}
          options={ACTIVITIES}
          wide
          path="person.activity"
          onChange={(activity) => change({ activity })}
        />
        <NumberField
          label="Walking speed"
          value={person.walking_speed_m_s}
          unit="m/s"
          digits={2}
          step={0.05}
          fallback={results === null ? undefined : number(results.speed_m_s, "m/s")}
          hint="Empty: estimated."
          path="person.walking_speed_m_s"
          onChange={(speed) => change({ walking_speed_m_s: speed as MetrePerSecond })}
          onDefault={() => change({ walking_speed_m_s: null })}
        />
        <NumberField
          label="Foot length"
          value={person.foot_length_mm}
          unit="mm"
          digits={0}
          step={5}
          fallback={results === null ? undefined : number(results.foot_length_mm, "mm", 0)}
          hint="Empty: estimated."
          path="person.foot_length_mm"
          onChange={(length) => change({ foot_length_mm: mm(length) })}
          onDefault={() => change({ foot_length_mm: null })}
        />
        <NumberField
          label="Load carried often"
          value={person.carried_load_kg}
          unit="kg"
          digits={0}
          step={1}
          fallback="none stated"
          hint="Beyond shoes and clothes; counts for the load level."
          path="person.carried_load_kg"
          onChange={(load) => change({ carried_load_kg: load as Kg })}
          onDefault={() => change({ carried_load_kg: null })}
        />
        <NumberField
          label="Knee flexion contracture"
          value={person.flexion_contracture_deg}
          unit="deg"
          path="person.flexion_contracture_deg"
          onChange={(angle) => change({ flexion_contracture_deg: degrees(angle) })}
        />
      </div>
      <label className="tick">
        <input
          type="checkbox"
          checked={person.unusual_mass_confirmed}
          onChange={(event) => change({ unusual_mass_confirmed: event.target.checked })}
        />
        Mass and stature were checked (only needed when they look unlikely together)
      </label>
    </Block>
  );
}

function LinerForm() {
  const [liner, change] = useSection("liner");
  return (
    <Block title="Liner">
      <div className="form">
        <SelectField
          label="Material"
          value={liner.material}
          options={LINERS.map((value) => ({ value, label: named(value) }))}
          onChange={(material) => change({ material })}
        />
        <NumberField
          label="Thickness of the wall"
          value={liner.thickness_mm}
          unit="mm"
          step={0.5}
          path="liner.thickness_mm"
          onChange={(thickness) => change({ thickness_mm: mm(thickness) })}
        />
        <NumberField
          label="Thickness at the end, cap included"
          value={liner.cap_thickness_mm}
          unit="mm"
          step={0.5}
          path="liner.cap_thickness_mm"
          onChange={(thickness) => change({ cap_thickness_mm: mm(thickness) })}
        />
        <NumberField
          label="Diameter of the cap"
          value={liner.cap_diameter_mm}
          unit="mm"
          path="liner.cap_diameter_mm"
          onChange={(diameter) => change({ cap_diameter_mm: mm(diameter) })}
        />
        <YesNoField
          label="Faced with fabric outside"
          value={liner.fabric_faced}
          path="liner.fabric_faced"
          onChange={(fabric_faced) => change({ fabric_faced })}
        />
      </div>
    </Block>
  );
}

function Loads() {
  const { text } = useUnits();
  return (
    <Block title="What follows">
      <StageResults state={useStage("assess")}>
        {(results) => (
          <>
            <Facts>
              <Fact name="Body weight">{text(results.body_weight_n, "N")}</Fact>
              <Fact name="Walking speed for the loads" basis={results.speed_basis}>
                {text(results.speed_m_s, "m/s")}
              </Fact>
              <Fact name="Load level by mass (ISO 10328)">
                {results.load_level ?? "Not established"}
              </Fact>
              <Fact name="Foot length" basis={results.foot_length_basis}>
                {text(results.foot_length_mm, "mm", 0)}
              </Fact>
            </Facts>
            <h4>Suspensions</h4>
            <SuspensionList advice={results.suspensions} />
          </>
        )}
      </StageResults>
    </Block>
  );
}
