import { useState } from "react";
import type { PalpatedDepth } from "../../api/document";
import type { Limb } from "../../api/results";
import { useCaseState, useSection } from "../../case/case-context";
import { useView } from "../../case/view-context";
import { BasisBadge } from "../../components/basis-badge";
import { Block } from "../../components/block";
import { SegmentedChoice, SelectField } from "../../components/choice-field";
import { NumberField } from "../../components/number-field";
import { FindingText } from "../../components/said";
import { mm } from "../../units/quantities";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";

/** Landmarks that bone lies under. */
const PALPABLE = [
  "tibial_tubercle",
  "crest_upper",
  "crest_lower",
  "medial_tibial_flare",
  "lateral_tibial_tubercle",
  "distal_tibia",
  "fibular_head",
  "distal_fibula",
  "patella_lower_pole",
] as const;

/** Depth of bone under the skin: what is estimated, with its spread, and what was felt. */
export function BoneDepths({ limb }: { limb: Limb }) {
  const { bones } = limb;
  return (
    <Block title="Bone under the skin">
      {bones.basis === "estimated" ? (
        <>
          <p className="remark">
            The bones are estimated from the landmarks and hold on to depths that you felt or
            measured. Touch a landmark in the picture, then enter its depth.
          </p>
          <DepthEntry limb={limb} />
          <CoverTable limb={limb} />
        </>
      ) : (
        <p className="remark">The bones come from meshes; felt depths are not used.</p>
      )}
    </Block>
  );
}

function DepthEntry({ limb }: { limb: Limb }) {
  const [capture, change] = useSection("capture");
  const { settings, setSettings } = useView();
  const { findings } = useCaseState();
  const [basis, setBasis] = useState<PalpatedDepth["basis"]>("palpated");
  const touched = PALPABLE.find((name) => name === settings.landmark);
  const names = PALPABLE.filter((name) => limb.landmarks[name] !== undefined);
  const at = touched ?? names[0];
  if (at === undefined) {
    return null;
  }
  const known = capture.palpated.find(({ landmark }) => landmark === at);
  const others = capture.palpated.filter(({ landmark }) => landmark !== at);
  const entry = (depth: number): PalpatedDepth => ({
    landmark: at,
    point: null,
    bone: at.includes("fibula") ? "fibula" : "tibia",
    depth_mm: mm(depth),
    basis: known?.basis ?? basis,
    // what was confirmed was another depth
    confirmed: false,
  });
  const setHow = (next: PalpatedDepth["basis"]): void => {
    setBasis(next);
    if (known !== undefined) {
      change({ palpated: [...others, { ...known, basis: next }] });
    }
  };
  const told = findings.filter(({ code, where }) => code.startsWith("palpated-") && where === at);
  const unlikely = told.some(({ code }) => code === "palpated-unlikely");
  return (
    <div className="form">
      <SelectField
        label="Landmark"
        value={at}
        options={names.map((value) => ({ value, label: named(value) }))}
        onChange={(landmark) => setSettings((now) => ({ ...now, landmark }))}
      />
      <NumberField
        label="Depth of the bone there"
        value={known?.depth_mm ?? null}
        unit="mm"
        step={0.5}
        fallback="not felt"
        path={`capture.palpated.${capture.palpated.findIndex(({ landmark }) => landmark === at).toString()}.depth_mm`}
        onChange={(depth) => change({ palpated: [...others, entry(depth)] })}
        onDefault={() => change({ palpated: others })}
      />
      <div className="wide">
        <SegmentedChoice
          label="How it was found"
          value={known?.basis ?? basis}
          options={[
            { value: "palpated", label: "By hand or calliper" },
            { value: "measured", label: "By image" },
          ]}
          onChange={setHow}
        />
        {told.map((finding) => (
          <p className={finding.severity === "stop" ? "problem" : "remark"} key={finding.code}>
            <FindingText finding={finding} />
          </p>
        ))}
        {known !== undefined && (unlikely || known.confirmed) ? (
          <label className="tick">
            <input
              type="checkbox"
              checked={known.confirmed}
              onChange={(event) =>
                change({ palpated: [...others, { ...known, confirmed: event.target.checked }] })
              }
            />
            This depth was checked and is right
          </label>
        ) : null}
      </div>
    </div>
  );
}

function CoverTable({ limb }: { limb: Limb }) {
  const { number, sign } = useUnits();
  const { settings, setSettings } = useView();
  const places = Object.entries(limb.bones.places);
  return places.length === 0 ? null : (
    <table className="table figures tight">
      <caption>Soft tissue over bone in {sign("mm")}, with one standard deviation</caption>
      <thead>
        <tr>
          <th scope="col">Landmark</th>
          <th scope="col" className="number">
            Cover
          </th>
          <th scope="col" className="number">
            Usual
          </th>
          <th scope="col">Rests on</th>
        </tr>
      </thead>
      <tbody>
        {places.map(([name, place]) => (
          <tr key={name} className={settings.landmark === name ? "chosen" : undefined}>
            <th scope="row">
              <button
                type="button"
                className="row-name"
                onClick={() => setSettings((now) => ({ ...now, landmark: name }))}
              >
                {named(name)}
              </button>
            </th>
            <td className="number">
              {`${number(place.cover_mm, "mm")}\u00a0±\u00a0${number(place.sd_mm, "mm")}`}
            </td>
            <td className="number">
              {`${number(place.usual_mm, "mm")}\u00a0±\u00a0${number(place.usual_sd_mm, "mm")}`}
            </td>
            <td>
              <BasisBadge basis={place.basis} />
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
