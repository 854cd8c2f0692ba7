import { useEffect, useRef } from "react";
import type { AreaPlan } from "../../api/document";
import { NumberField } from "../../components/number-field";
import { SliderField } from "../../components/slider-field";
import { mm } from "../../units/quantities";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { useStage } from "../../workshop/case-context";
import { useResults } from "../../workshop/use-viewer";
import { useView } from "../../workshop/view-context";

interface AreaRowProps {
  readonly area: AreaPlan;
  readonly loads: boolean;
  readonly path: string;
  readonly onChange: (area: AreaPlan) => void;
  readonly onRemove: () => void;
}

/** Within the slider's reach; the number beside it takes more. */
const DEEPEST_BY_SLIDER_MM = 10;

/** One area. Its depth is entered as a size; whether it presses in or spares is the area's nature. */
export function AreaRow({ area, loads, path, onChange, onRemove }: AreaRowProps) {
  const { settings, setSettings } = useView();
  const { text } = useUnits();
  const placed = useResults("shape")?.areas.find((one) => one.name === area.name);
  const stale = useStage("shape").kind === "stale";
  const chosen = settings.area === area.name;
  const row = useRef<HTMLLIElement>(null);
  useEffect(() => {
    // Only where the panel scrolls by itself: in one column the picture would leave the screen.
    const panel = row.current?.closest(".panel-body");
    if (chosen && panel && panel.scrollHeight > panel.clientHeight) {
      row.current?.scrollIntoView({ block: "nearest" });
    }
  }, [chosen]);
  const set = (part: Partial<AreaPlan>): void => onChange({ ...area, ...part });
  // An area that presses in is stored with a negative depth, one that spares with a positive.
  const stored = (size: number): number => (loads && size !== 0 ? -size : size);
  return (
    <li
      ref={row}
      className={`area ${loads ? "area-loads" : "area-spares"}${chosen ? " chosen" : ""}`}
      onFocus={() => setSettings((now) => (chosen ? now : { ...now, area: area.name }))}
    >
      <SliderField
        label={named(area.name)}
        value={stored(area.depth_mm)}
        resting={0}
        range={[0, DEEPEST_BY_SLIDER_MM]}
        unit="mm"
        step={0.5}
        spoken={`${text(stored(area.depth_mm), "mm")} ${loads ? "pressed in" : "space added"}`}
        path={`${path}.depth_mm`}
        onChange={(size) => set({ depth_mm: mm(stored(size)) })}
      />
      <details className="more">
        <summary>
          Extent and place
          {placed === undefined ? null : (
            <span className={stale ? "quiet stale" : "quiet"}>
              {` ${text(placed.area_cm2, "cm2", 0)}`}
              {placed.rests_on_guess ? ", placed by a guessed landmark" : ""}
            </span>
          )}
        </summary>
        <div className="form">
          <ExtentField {...{ area, path, set }} name="length_mm" label="Length at full depth" />
          <ExtentField {...{ area, path, set }} name="width_mm" label="Width at full depth" />
          <ExtentField {...{ area, path, set }} name="blend_mm" label="Blends out over" />
          <NumberField
            label="Moved down"
            value={area.move_distal_mm}
            unit="mm"
            digits={0}
            path={`${path}.move_distal_mm`}
            onChange={(move) => set({ move_distal_mm: mm(move) })}
          />
          <NumberField
            label="Moved around, outward to forward"
            value={area.move_around_mm}
            unit="mm"
            digits={0}
            path={`${path}.move_around_mm`}
            onChange={(move) => set({ move_around_mm: mm(move) })}
          />
          <button type="button" className="plain-button" onClick={onRemove}>
            Remove this area
          </button>
        </div>
      </details>
    </li>
  );
}

interface ExtentFieldProps {
  readonly area: AreaPlan;
  readonly path: string;
  readonly set: (part: Partial<AreaPlan>) => void;
  readonly name: "length_mm" | "width_mm" | "blend_mm";
  readonly label: string;
}

function ExtentField({ area, path, set, name, label }: ExtentFieldProps) {
  return (
    <NumberField
      label={label}
      value={area[name]}
      unit="mm"
      digits={0}
      fallback="default"
      path={`${path}.${name}`}
      onChange={(size) => set({ [name]: mm(size) })}
      onDefault={() => set({ [name]: null })}
    />
  );
}
