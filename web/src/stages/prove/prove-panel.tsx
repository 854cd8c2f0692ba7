import { Said } from "../../components/said";
import "./prove.css";
import type { Proof } from "../../api/results";
import { useSection, useStage } from "../../case/case-context";
import { useView } from "../../case/view-context";
import { Block } from "../../components/block";
import { SelectField } from "../../components/choice-field";
import { StageResults } from "../../components/stage-results";
import { named } from "../../words/words";
import { AreaPressures } from "./area-pressures";
import { CarriedParts, ContactFacts } from "./carried-parts";
import { CheckList } from "./check-list";
import { ConfirmBlock } from "./confirm-block";
import { CouponForm } from "./coupon-form";
import { MaterialForm } from "./material-form";
import { PlaceTable } from "./place-table";
import { PoseFacts } from "./pose-facts";
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
      <PoseFacts shown={shown} middle={proof.socket_middle_mm} />
    </Block>
  );
}
