import type { AlignPlan } from "../../api/document";
import type { Alignment, Settings } from "../../api/results";
import { useSection, useStage } from "../../case/case-context";
import { BasisBadge } from "../../components/basis-badge";
import { Block } from "../../components/block";
import { NumberField } from "../../components/number-field";
import { SliderField } from "../../components/slider-field";
import { degrees, mm } from "../../units/quantities";
import { type Units, useUnits } from "../../units/units-context";
import { named } from "../../words/words";
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
  const alignment = useResults("align");
  const planned = alignment?.planned;
  const set = (part: Partial<AlignPlan>): void => change(part);
  return (
    <Block title="Bench">
      {alignment === null || alignment.turned.length === 0 ? null : (
        <p className="remark">
          Planned, before the turns. After them {standsWords(alignment, units)}.
        </p>
      )}
      <SliderField
        label="Foot inset"
        ends={["outset", "inset (medial)"]}
        value={align.foot_inset_mm}
        resting={planned?.["foot inset"]?.[0] ?? 0}
        range={[-FOOT_REACH_MM, FOOT_REACH_MM]}
        unit="mm"
        step={1}
        fallback={inUse(planned, "foot inset", units)}
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
            fallback={inUse(planned, setting, units)}
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
      {alignment === null ? null : <SettingsInUse alignment={alignment} />}
    </Block>
  );
}

/** Where the foot stands once the adapters are turned: what the drawing shows. */
export function standsWords({ settings }: Alignment, { text }: Pick<Units, "text">): string {
  const [inset = 0] = settings["foot inset"] ?? [];
  const [forward = 0] = settings["ankle forward of plumb line"] ?? [];
  const across = `${text(Math.abs(inset), "mm")} ${inset < 0 ? "outset" : "inset"}`;
  const along = `${text(Math.abs(forward), "mm")} ${forward < 0 ? "behind" : "ahead of"}`;
  return `the foot stands ${across}, its ankle ${along} the plumb line`;
}

function inUse(settings: Settings | undefined, name: string, units: Units): string | undefined {
  const setting = settings?.[name];
  return setting === undefined ? undefined : units.number(setting[0], setting[1]);
}

function SettingsInUse({ alignment }: { alignment: Alignment }) {
  const { text } = useUnits();
  const stale = useStage("align").kind === "stale";
  const { settings, planned, turned } = alignment;
  return (
    <details className="more">
      <summary>{turned.length === 0 ? "Settings in use" : "The leg after the turns"}</summary>
      <dl className={stale ? "facts stale" : "facts"}>
        {Object.entries(settings).map(([name, [value, unit, basis]]) => {
          const before = turned.length === 0 ? undefined : planned[name];
          return (
            <div key={name}>
              <dt>{named(name)}</dt>
              <dd>
                <span className="value">{text(value, unit)}</span>
                <BasisBadge basis={basis} />
                {before === undefined ? null : (
                  <span className="notes">
                    planned {text(before[0], before[1])}, before the turns
                  </span>
                )}
              </dd>
            </div>
          );
        })}
      </dl>
    </details>
  );
}
