import { useState } from "react";
import type { SectionForces, StrengthDetail, SuspensionDetail } from "../../api/results";
import { SelectField } from "../../components/choice-field";
import { Fact, Facts } from "../../components/fact";
import { LineChart } from "../../components/line-chart";
import { Said } from "../../components/said";
import { shownUnit } from "../../units/display";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";

/** The weakest place, forces along the leg and how much of the wall's strength each level uses. */
export function StrengthCurves({ detail }: { detail: StrengthDetail }) {
  const { choice, sign, text } = useUnits();
  const [condition, setCondition] = useState(detail.forces[0]?.condition ?? "");
  const shown = detail.forces.find((one) => one.condition === condition) ?? detail.forces[0];
  const { weakest } = detail;
  const wall = [...detail.wall]
    .filter((level) => level.share !== null)
    .sort((a, b) => a.level_mm - b.level_mm);
  return (
    <>
      {weakest === null ? null : (
        <Facts>
          <Fact name="Weakest by this estimate">
            {named(weakest.check)}, <Said text={weakest.place} />
          </Fact>
          <Fact name="Of its capacity used">{text(100 * weakest.share, "%", 0)}</Fact>
        </Facts>
      )}
      {wall.length < 2 ? null : (
        <LineChart
          title="Use of the wall's strength by level"
          x={wall.map((level) => level.level_mm / shownUnit("mm", choice).size)}
          xLabel={`${sign("mm")} below MPT`}
          yLabel="% of what the wall is credited with"
          series={[
            { name: "Wall", values: wall.map((level) => 100 * (level.share ?? 0)), style: 1 },
          ]}
        />
      )}
      {shown === undefined ? null : (
        <>
          <SelectField
            label="Loading condition"
            value={shown.condition}
            options={detail.forces.map((one) => ({
              value: one.condition,
              label: `${one.condition} at ${text(one.force_n, "N", 0)} (${one.level})`,
            }))}
            onChange={setCondition}
          />
          <ForceChart forces={shown} />
        </>
      )}
    </>
  );
}

function ForceChart({ forces }: { forces: SectionForces }) {
  const { choice, sign } = useUnits();
  const order = forces.height_mm
    .map((height, i) => ({ height, i }))
    .sort((a, b) => a.height - b.height)
    .map(({ i }) => i);
  const along = (values: readonly number[]): number[] => order.map((i) => values[i] ?? 0);
  return (
    <>
      <LineChart
        title="Moments along the leg"
        x={along(forces.height_mm).map((height) => height / shownUnit("mm", choice).size)}
        xLabel={`${sign("mm")} over the floor`}
        yLabel="N·m"
        series={[
          { name: "Bending", values: along(forces.bending_n_m), style: 1 },
          { name: "Torsion", values: along(forces.torsion_n_m), style: 2 },
        ]}
      />
      <p className="remark">
        Across and about the limb’s axis on the socket, the pylon’s below it; checks of the
        attachment bend across the coupling’s axis.
      </p>
    </>
  );
}

/** Pull of the leg on its suspension through swing, and what holds it. */
export function SwingCurve({ detail }: { detail: SuspensionDetail }) {
  const { text } = useUnits();
  const { swing } = detail;
  const level = (value: number): number[] => swing.swing_percent.map(() => value);
  return (
    <>
      <LineChart
        title="Pull through swing"
        x={swing.swing_percent}
        xLabel="% of swing"
        yLabel="N"
        series={[
          { name: "Pull", values: swing.pull_n, style: 1 },
          { name: "Hand bound of this walker", values: level(swing.bound_n), style: 2 },
        ]}
      />
      <Facts>
        <Fact name="Hangs on it" basis={detail.mass_basis}>
          {text(detail.mass_kg, "kg", 2)}
        </Fact>
        <Fact name="Holds">
          {detail.hold_n === null ? "not established" : text(detail.hold_n, "N", 0)}
        </Fact>
        <Fact name="Limb rises from standing to swing">
          {detail.pistoning_mm === null ? "not computed" : text(detail.pistoning_mm, "mm")}
        </Fact>
      </Facts>
    </>
  );
}
