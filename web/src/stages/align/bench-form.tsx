import type { AlignPlan } from "../../api/document";
import type { Alignment } from "../../api/results";
import { BasisBadge } from "../../components/basis-badge";
import { Block } from "../../components/block";
import { NumberField } from "../../components/number-field";
import { SliderField } from "../../components/slider-field";
import { degrees, mm } from "../../units/quantities";
import { type Units, useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { useSection, useStage } from "../../workshop/case-context";
import { useResults } from "../../workshop/use-viewer";

const FOOT_REACH_MM = 40;

const ANGLES = [
  { name: "socket_flexion_deg", label: "Socket flexion", setting: "socket flexion" },
  { name: "socket_adduction_deg", label: "Socket adduction", setting: "socket adduction" },
  { name: "toe_out_deg", label: "Toe-out", setting: "toe-out" },
] as const;

const HEELS = [
  { name: "foot_heel_mm", label: "Heel height the foot is built for", fallback: "the shoe's" },
  { name: "shoe_forefoot_mm", label: "Shoe's sole under the forefoot", fallback: "0" },
] as const;

/** What is set on the bench, with the defaults in use for what is left open. */
export function BenchForm() {
  const [align, change] = useSection("align");
  const units = useUnits();
  const settings = useResults("align")?.settings;
  const set = (part: Partial<AlignPlan>): void => change(part);
  return (
    <Block title="Bench">
      <SliderField
        label="Foot inset"
        ends={["outset", "inset (medial)"]}
        value={align.foot_inset_mm}
        resting={settings?.["foot inset"]?.[0] ?? 0}
        range={[-FOOT_REACH_MM, FOOT_REACH_MM]}
        unit="mm"
        step={1}
        fallback={inUse(settings, "foot inset", units)}
        path="align.foot_inset_mm"
        onChange={(inset) => set({ foot_inset_mm: mm(inset) })}
        onDefault={() => set({ foot_inset_mm: null })}
      />
      <SliderField
        label="Foot forward of its default place"
        ends={["back", "forward"]}
        value={align.foot_forward_mm}
        resting={0}
        range={[-FOOT_REACH_MM, FOOT_REACH_MM]}
        unit="mm"
        step={1}
        fallback="0"
        path="align.foot_forward_mm"
        onChange={(forward) => set({ foot_forward_mm: mm(forward) })}
        onDefault={() => set({ foot_forward_mm: null })}
      />
      <div className="form">
        {ANGLES.map(({ name, label, setting }) => (
          <NumberField
            key={name}
            label={label}
            value={align[name]}
            unit="deg"
            step={0.5}
            fallback={inUse(settings, setting, units)}
            path={`align.${name}`}
            onChange={(angle) => set({ [name]: degrees(angle) })}
            onDefault={() => set({ [name]: null })}
          />
        ))}
        {HEELS.map(({ name, label, fallback }) => (
          <NumberField
            key={name}
            label={label}
            value={align[name]}
            unit="mm"
            digits={0}
            fallback={fallback}
            path={`align.${name}`}
            onChange={(height) => set({ [name]: mm(height) })}
            onDefault={() => set({ [name]: null })}
          />
        ))}
      </div>
      {settings === undefined ? null : <SettingsInUse settings={settings} />}
    </Block>
  );
}

function inUse(
  settings: Alignment["settings"] | undefined,
  name: string,
  units: Units,
): string | undefined {
  const setting = settings?.[name];
  return setting === undefined ? undefined : units.number(setting[0], setting[1]);
}

function SettingsInUse({ settings }: { settings: Alignment["settings"] }) {
  const { text } = useUnits();
  const stale = useStage("align").kind === "stale";
  return (
    <details className="more">
      <summary>Settings in use</summary>
      <dl className={stale ? "facts stale" : "facts"}>
        {Object.entries(settings).map(([name, [value, unit, basis]]) => (
          <div key={name}>
            <dt>{named(name)}</dt>
            <dd>
              <span className="value">{text(value, unit)}</span>
              <BasisBadge basis={basis} />
            </dd>
          </div>
        ))}
      </dl>
    </details>
  );
}
