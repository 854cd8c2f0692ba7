import { type KeyboardEvent, useEffect, useRef } from "react";
import type { AreaPlan } from "../../api/document";
import type { AreaPressure, PlacedArea } from "../../api/results";
import { useStage } from "../../case/case-context";
import { useView } from "../../case/view-context";
import { NumberField } from "../../components/number-field";
import { mm } from "../../units/quantities";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { useResults } from "../../workshop/use-viewer";
import { BOUNDS_MM, boundsWords, depthWords } from "./depth-words";

export interface AreaLine {
  readonly area: AreaPlan;
  /** Place in the plan's own list. */
  readonly index: number;
}

interface AreaTableProps {
  readonly kinds: readonly {
    readonly title: string;
    readonly loads: boolean;
    readonly lines: readonly AreaLine[];
  }[];
  readonly pressures: ReadonlyMap<string, AreaPressure>;
  /** The pressures belong to an earlier state of the case. */
  readonly behind: boolean;
  readonly onChange: (index: number, area: AreaPlan) => void;
  readonly onRemove: (index: number) => void;
}

const COLUMNS = 4;

/** One area in two lines: what it carries, and what the plan gives it. */
export function AreaTable({ kinds, pressures, behind, onChange, onRemove }: AreaTableProps) {
  const { sign } = useUnits();
  const placed = useResults("shape")?.areas ?? [];
  return (
    <table className="table figures area-table">
      <caption>
        Pressures in kPa; sizes below them in {sign("mm") === "in" ? "inches" : sign("mm")}, as
        planned or, in slanting figures, by default
      </caption>
      <thead>
        <tr>
          <th scope="col">Area</th>
          <th scope="col" className="number">
            Mean
          </th>
          <th scope="col" className="number">
            Peak
          </th>
          <th scope="col" className="number">
            Of limit
          </th>
        </tr>
        <tr>
          {["Depth", "Length", "Width", "Blend"].map((head) => (
            <th key={head} scope="col" className="number">
              {head}
            </th>
          ))}
        </tr>
      </thead>
      {kinds.flatMap(({ title, loads, lines }) => [
        <tbody key={title}>
          <tr>
            <th scope="rowgroup" colSpan={COLUMNS} className={loads ? "kind loads" : "kind spares"}>
              {title}
            </th>
          </tr>
        </tbody>,
        ...lines.map(({ area, index }) => (
          <AreaRows
            key={area.name}
            area={area}
            loads={loads}
            path={`shape.areas.${index.toString()}`}
            placed={placed.find((one) => one.name === area.name) ?? null}
            pressure={pressures.get(area.name) ?? null}
            behind={behind}
            onChange={(next) => onChange(index, next)}
            onRemove={() => onRemove(index)}
          />
        )),
      ])}
    </table>
  );
}

interface AreaRowsProps {
  readonly area: AreaPlan;
  readonly loads: boolean;
  readonly path: string;
  readonly placed: PlacedArea | null;
  readonly pressure: AreaPressure | null;
  readonly behind: boolean;
  readonly onChange: (area: AreaPlan) => void;
  readonly onRemove: () => void;
}

function AreaRows({
  area,
  loads,
  path,
  placed,
  pressure,
  behind,
  onChange,
  onRemove,
}: AreaRowsProps) {
  const { settings, setSettings } = useView();
  const chosen = settings.area === area.name;
  const rows = useRef<HTMLTableSectionElement>(null);
  useEffect(() => {
    // Only where the panel scrolls by itself: in one column the picture would leave the screen.
    const panel = rows.current?.closest(".panel-body");
    if (chosen && panel && panel.scrollHeight > panel.clientHeight) {
      rows.current?.scrollIntoView({ block: "nearest" });
    }
  }, [chosen]);
  const choose = (): void =>
    setSettings((now) => (chosen ? now : { ...now, area: area.name, landmark: null, trim: null }));
  const set = (part: Partial<AreaPlan>): void => onChange({ ...area, ...part });
  const name = named(area.name);
  return (
    <tbody
      ref={rows}
      className={chosen ? "area chosen" : "area"}
      onFocus={choose}
      onKeyDown={goBetweenRows}
    >
      <tr>
        <th scope="rowgroup">
          <button type="button" className="row-name" aria-pressed={chosen} onClick={choose}>
            {name}
          </button>
        </th>
        <Carried pressure={pressure} behind={behind} />
      </tr>
      <tr className="entries">
        <td>
          <DepthField {...{ area, loads, path, set, name }} />
        </td>
        <td>
          <ExtentField {...{ area, path, set, name, placed }} field="length_mm" what="length" />
        </td>
        <td>
          <ExtentField {...{ area, path, set, name, placed }} field="width_mm" what="width" />
        </td>
        <td>
          <ExtentField {...{ area, path, set, name, placed }} field="blend_mm" what="blend" />
        </td>
      </tr>
      {chosen ? (
        <tr>
          <td colSpan={COLUMNS}>
            <Chosen {...{ area, loads, path, set, name, placed, onRemove }} />
          </td>
        </tr>
      ) : null}
    </tbody>
  );
}

/** Alt with an arrow goes to the same entry of the next area: arrows alone change the number. */
function goBetweenRows(event: KeyboardEvent<HTMLTableSectionElement>): void {
  const way = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  const entry = event.target;
  if (way === undefined || !event.altKey || !(entry instanceof HTMLInputElement)) {
    return;
  }
  event.preventDefault();
  event.stopPropagation();
  const column = entry.closest("td")?.cellIndex ?? 0;
  const bodies = [...(event.currentTarget.parentElement?.querySelectorAll(".area") ?? [])];
  const next = bodies[bodies.indexOf(event.currentTarget) + way];
  next?.querySelectorAll<HTMLInputElement>(".entries > td input")[column]?.focus();
}

function Carried({ pressure, behind }: { pressure: AreaPressure | null; behind: boolean }) {
  const { number } = useUnits();
  const look = behind ? "number stale" : "number";
  if (pressure === null) {
    return (
      <td colSpan={3} className="number quiet">
        {behind ? "computing …" : "not computed"}
      </td>
    );
  }
  return (
    <>
      <td className={look}>{number(pressure.mean_kpa, "kPa")}</td>
      <td className={look}>{number(pressure.peak_kpa, "kPa")}</td>
      <td className={`${look}${(pressure.share ?? 0) > 1 ? " beyond-limit" : ""}`}>
        {pressure.share === null ? (
          <span className="quiet">no limit</span>
        ) : (
          `${Math.round(pressure.share * 100).toString()} %`
        )}
      </td>
    </>
  );
}

interface FieldProps {
  readonly area: AreaPlan;
  readonly path: string;
  readonly name: string;
  readonly set: (part: Partial<AreaPlan>) => void;
}

/** A size in the entry; stored with the sign of what the area is for. */
function stored(size: number, loads: boolean): AreaPlan["depth_mm"] {
  return mm(loads && size !== 0 ? -size : size);
}

function DepthField({ area, loads, path, set, name }: FieldProps & { readonly loads: boolean }) {
  const { text } = useUnits();
  return (
    <NumberField
      label={name}
      labelHidden
      value={Math.abs(area.depth_mm)}
      unit="mm"
      step={0.5}
      path={`${path}.depth_mm`}
      refuse={(size) => depthWords(size, loads, (value) => text(value, "mm", 0))}
      onChange={(size) => set({ depth_mm: stored(size, loads) })}
    />
  );
}

interface ExtentProps extends FieldProps {
  readonly placed: PlacedArea | null;
  readonly field: "length_mm" | "width_mm" | "blend_mm";
  readonly what: string;
}

function ExtentField({ area, path, set, name, placed, field, what }: ExtentProps) {
  const { number, text } = useUnits();
  return (
    <NumberField
      label={`${name}: ${what}`}
      labelHidden
      value={area[field]}
      unit="mm"
      digits={1}
      fallback={placed === null ? "default" : number(placed[field], "mm", 1)}
      path={`${path}.${field}`}
      refuse={(size) => boundsWords(size, BOUNDS_MM[field], (value) => text(value, "mm", 0))}
      onChange={(size) => set({ [field]: mm(size) })}
      onDefault={() => set({ [field]: null })}
    />
  );
}

/** Within the slider's reach; the number takes more. */
const DEEPEST_BY_SLIDER_MM = 10;

interface ChosenProps extends FieldProps {
  readonly loads: boolean;
  readonly placed: PlacedArea | null;
  readonly onRemove: () => void;
}

/** What else belongs to the area that is worked on. */
function Chosen({ area, loads, path, set, name, placed, onRemove }: ChosenProps) {
  const { text } = useUnits();
  const stale = useStage("shape").kind === "stale";
  const depth = Math.abs(area.depth_mm);
  const bounded = (field: keyof typeof BOUNDS_MM) => (size: number) =>
    boundsWords(size, BOUNDS_MM[field], (value) => text(value, "mm", 0));
  return (
    <div className={`form chosen-area ${loads ? "area-loads" : "area-spares"}`}>
      <input
        type="range"
        className="wide"
        aria-label={`${name}, slider`}
        aria-valuetext={`${text(depth, "mm")} ${loads ? "pressed in" : "space added"}`}
        min={0}
        max={DEEPEST_BY_SLIDER_MM}
        step={0.5}
        value={depth}
        onChange={(event) => set({ depth_mm: stored(Number(event.target.value), loads) })}
      />
      <NumberField
        label="Moved down"
        value={area.move_distal_mm}
        unit="mm"
        path={`${path}.move_distal_mm`}
        refuse={bounded("move_distal_mm")}
        onChange={(move) => set({ move_distal_mm: mm(move) })}
      />
      <NumberField
        label="Moved around, lateral to anterior"
        value={area.move_around_mm}
        unit="mm"
        path={`${path}.move_around_mm`}
        refuse={bounded("move_around_mm")}
        onChange={(move) => set({ move_around_mm: mm(move) })}
      />
      {placed === null ? (
        <span />
      ) : (
        <span className={stale ? "quiet stale" : "quiet"}>
          {text(placed.area_cm2, "cm2", 0)}
          {placed.rests_on_guess ? ", placed by a guessed landmark" : ""}
        </span>
      )}
      <button type="button" className="plain-button" onClick={onRemove}>
        Remove this area
      </button>
    </div>
  );
}
