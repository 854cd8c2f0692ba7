import type { LengthUnit } from "../../api/document";
import type { Limb } from "../../api/results";
import { useSection, useStage } from "../../case/case-context";
import { BasisBadge } from "../../components/basis-badge";
import { Block } from "../../components/block";
import { SegmentedChoice, SelectField } from "../../components/choice-field";
import { Fact, Facts } from "../../components/fact";
import { NumberField } from "../../components/number-field";
import { Said } from "../../components/said";
import { StageResults } from "../../components/stage-results";
import { mm } from "../../units/quantities";
import { useUnits } from "../../units/units-context";
import { counted, named } from "../../words/words";
import { CastingBlock } from "./casting-block";
import { LandmarkList } from "./landmark-list";
import { LevelTable } from "./level-table";
import { BoneDepths } from "./palpated-depths";

/** Whether the shape is right and how far it can be trusted. */
export function CapturePanel() {
  return (
    <>
      <StageResults state={useStage("capture")}>
        {(limb) => (
          <>
            <ScanFacts limb={limb} />
            <LandmarkList limb={limb} />
            <BoneDepths limb={limb} />
            <LevelTable measures={limb.measures} />
            <CastingBlock limb={limb} />
          </>
        )}
      </StageResults>
      <CaptureForm />
    </>
  );
}

function ScanFacts({ limb }: { limb: Limb }) {
  const { text } = useUnits();
  const { unit, measures, bones, repairs } = limb;
  return (
    <Block title="Scan">
      <Facts>
        <Fact name="Unit of the file" basis={unit.basis}>
          {named(unit.unit)}
          {unit.basis === "given" ? "" : `, ${Math.round(unit.sureness * 100).toString()} % sure`}
        </Fact>
        <Fact name="Volume below the mid-patellar tendon">
          {text(measures.volume_below_datum_ml, "ml")}
        </Fact>
        <Fact name="Length below the mid-patellar tendon">
          {text(measures.length_below_datum_mm, "mm", 0)}
        </Fact>
        <Fact name="Bones" basis={bones.basis}>
          {bones.cover_sd_mm > 0
            ? `cover uncertain by ${text(bones.cover_sd_mm, "mm")} (1 SD)`
            : "from meshes"}
        </Fact>
      </Facts>
      <p className="remark">
        <Said text={unit.text} />
      </p>
      {repairs.length === 0 ? (
        <p className="remark">Nothing had to be repaired.</p>
      ) : (
        <details className="more">
          <summary>{counted(repairs.length, "kind of repair", "kinds of repair")} done</summary>
          <ul>
            {repairs.map((repair) => (
              <li key={repair.kind}>
                <Said text={repair.text} />
              </li>
            ))}
          </ul>
        </details>
      )}
    </Block>
  );
}

const UNITS: readonly { value: LengthUnit | "found"; label: string }[] = [
  { value: "found", label: "Find it from the size" },
  { value: "mm", label: "mm" },
  { value: "cm", label: "cm" },
  { value: "m", label: "m" },
  { value: "inch", label: "inch" },
];

function CaptureForm() {
  const [capture, change] = useSection("capture");
  return (
    <Block title="How it was taken">
      <div className="form">
        <div className="field">
          <span className="field-name">Files</span>
          <span className="files">
            {[capture.scan, capture.tape, capture.bones?.tibia, capture.bones?.fibula]
              .filter((name) => typeof name === "string")
              .join(", ")}
          </span>
        </div>
        <SelectField
          label="Unit of the scan file"
          value={capture.unit ?? "found"}
          options={UNITS}
          path="capture.unit"
          onChange={(unit) => change({ unit: unit === "found" ? null : unit })}
        />
        <SegmentedChoice
          label="Scanned over"
          value={capture.scanned_over}
          options={[
            { value: "skin", label: "Skin" },
            { value: "liner", label: "Liner" },
          ]}
          onChange={(scanned_over) => change({ scanned_over })}
        />
        <NumberField
          label="Distance between levels"
          value={capture.level_step_mm}
          unit="mm"
          digits={0}
          step={5}
          path="capture.level_step_mm"
          onChange={(step) => change({ level_step_mm: mm(step) })}
        />
      </div>
      <p className="remark">
        Landmarks carry a badge: <BasisBadge basis="given" /> was stated,{" "}
        <BasisBadge basis="guessed" /> is a proposal to be checked by hand.
      </p>
    </Block>
  );
}
