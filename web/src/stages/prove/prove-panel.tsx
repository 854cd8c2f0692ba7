import { Said } from "../../components/said";
import "./prove.css";
import type { CasePressure, Proof } from "../../api/results";
import { Block } from "../../components/block";
import { SelectField } from "../../components/choice-field";
import { Fact, Facts } from "../../components/fact";
import { StageResults } from "../../components/stage-results";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { useSection, useStage } from "../../workshop/case-context";
import { useView } from "../../workshop/view-context";
import { AreaPressures } from "./area-pressures";
import { CarriedParts, ContactFacts } from "./carried-parts";
import { CheckList } from "./check-list";
import { ConfirmBlock } from "./confirm-block";
import { CouponForm } from "./coupon-form";
import { MaterialForm } from "./material-form";
import { PlaceTable } from "./place-table";
import { StrengthCurves, SwingCurve } from "./strength-detail";

/** What each place carries and whether everything holds. */
export function ProvePanel() {
  const { settings } = useView();
  return (
    <>
      <StageResults state={useStage("prove")}>
        {(proof) => (
          <>
            <Interface proof={proof} />
            <Block title="Suspension in swing">
              <CheckList checks={proof.suspension} />
              {proof.suspension_detail === null ? null : (
                <SwingCurve detail={proof.suspension_detail} />
              )}
            </Block>
            <Block title="Strength">
              {proof.strength_detail === null ? null : (
                <StrengthCurves detail={proof.strength_detail} />
              )}
              <CheckList checks={proof.strength} reference />
            </Block>
          </>
        )}
      </StageResults>
      <ConfirmBlock loadCase={settings.loadCase} />
      <MaterialForm />
      <CouponForm />
    </>
  );
}

const ENGINES = [
  { value: "spring_bed", label: "First estimate: at once" },
  { value: "live", label: "Live model: neighbours and friction" },
] as const;

function Interface({ proof }: { proof: Proof }) {
  const [prove, change] = useSection("prove");
  const { settings, setSettings } = useView();
  const { cases, label } = proof.interface;
  const shown = cases.find((one) => one.load_case === settings.loadCase) ?? cases[0];
  if (shown === undefined) {
    return <p className="quiet">No load case was computed.</p>;
  }
  const carried = proof.carried.find((one) => one.load_case === shown.load_case);
  const contact = proof.contact.find((one) => one.load_case === shown.load_case);
  return (
    <Block title="Pressure by area">
      <SelectField
        label="Computed with"
        value={prove.engine === "live" ? "live" : "spring_bed"}
        options={ENGINES}
        onChange={(engine) => change({ engine })}
      />
      <p className="trust-label">
        <Said text={named(label)} />
      </p>
      <SelectField
        label="Under load"
        value={shown.load_case}
        options={cases.map((one) => ({ value: one.load_case, label: named(one.load_case) }))}
        onChange={(loadCase) => setSettings((now) => ({ ...now, loadCase }))}
      />
      <AreaPressures areas={shown.areas} />
      <details className="more">
        <summary>At the places of the limb</summary>
        <PlaceTable readings={proof.readings} loadCase={shown.load_case} kinds={["place"]} />
      </details>
      {carried === undefined ? null : <CarriedParts carried={carried} />}
      {contact === undefined ? null : <ContactFacts contact={contact} />}
      <PoseFacts shown={shown} />
    </Block>
  );
}

/** How the limb stands in the socket: an unanswered load shows as a shift. */
function PoseFacts({ shown }: { shown: CasePressure }) {
  const { text } = useUnits();
  const [outward, forward, up] = shown.pose.shift_mm;
  const [about_o, about_f, about_u] = shown.pose.turn_rad;
  return (
    <>
      <h4>How the limb stands in the socket</h4>
      <Facts>
        <Fact name={up <= 0 ? "Sinks by" : "Rises by"}>{text(Math.abs(up), "mm")}</Fact>
        <Fact name={outward >= 0 ? "Shifts outward by" : "Shifts inward by"}>
          {text(Math.abs(outward), "mm")}
        </Fact>
        <Fact name={forward >= 0 ? "Shifts forward by" : "Shifts back by"}>
          {text(Math.abs(forward), "mm")}
        </Fact>
        <Fact name="Turns about outward, forward, up">
          {[about_o, about_f, about_u]
            .map((turn) => text((turn * 180) / Math.PI, "deg"))
            .join(", ")}
        </Fact>
        <Fact name="Surface in contact">{text(shown.contact_share * 100, "%")}</Fact>
        <Fact name="Load left unbalanced">{text(shown.residual * 100, "%", 3)}</Fact>
      </Facts>
    </>
  );
}
