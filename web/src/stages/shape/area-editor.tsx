import { useState } from "react";
import type { AreaPlan } from "../../api/document";
import { Block } from "../../components/block";
import { mm } from "../../units/quantities";
import { named } from "../../words/words";
import { useInfo, useSection } from "../../workshop/case-context";
import { AreaRow } from "./area-row";

/** The load and relief areas: their depths at hand, their extent on demand. */
export function AreaEditor() {
  const [shape, change] = useSection("shape");
  const { areas } = useInfo();
  const loads = (name: string): boolean => areas.find((area) => area.name === name)?.loads ?? false;
  const replace = (index: number, area: AreaPlan): void =>
    change({ areas: shape.areas.map((old, i) => (i === index ? area : old)) });
  const remove = (index: number): void =>
    change({ areas: shape.areas.filter((_, i) => i !== index) });
  const indexed = shape.areas.map((area, index) => ({ area, index }));
  const group = (wanted: boolean) =>
    indexed
      .filter(({ area }) => loads(area.name) === wanted)
      .map(({ area, index }) => (
        <AreaRow
          key={area.name}
          area={area}
          loads={wanted}
          path={`shape.areas.${index.toString()}`}
          onChange={(next) => replace(index, next)}
          onRemove={() => remove(index)}
        />
      ));
  const unused = areas.filter((area) => !shape.areas.some((used) => used.name === area.name));
  return (
    <>
      <Block title="Load areas" aside={<span className="quiet">the socket presses in</span>}>
        <p className="remark">
          Touch an area on the limb and drag its mark, or use the step pad. By key in the picture:
          Shift and arrows move it, with Alt they stretch it, Shift and Page Up or Down deepen and
          flatten it.
        </p>
        <ul className="areas">{group(true)}</ul>
      </Block>
      <Block title="Relief areas" aside={<span className="quiet">space is added</span>}>
        <ul className="areas">{group(false)}</ul>
        <AddArea unused={unused} onAdd={(area) => change({ areas: [...shape.areas, area] })} />
      </Block>
    </>
  );
}

interface AddAreaProps {
  readonly unused: readonly { readonly name: string; readonly loads: boolean }[];
  readonly onAdd: (area: AreaPlan) => void;
}

function AddArea({ unused, onAdd }: AddAreaProps) {
  const [chosen, setChosen] = useState("");
  if (unused.length === 0) {
    return null;
  }
  const area = unused.find((one) => one.name === chosen) ?? unused[0];
  return (
    <div className="add-row">
      <label>
        <span>Another area</span>
        <select value={area?.name} onChange={(event) => setChosen(event.target.value)}>
          {unused.map((one) => (
            <option key={one.name} value={one.name}>
              {named(one.name)} ({one.loads ? "load" : "relief"})
            </option>
          ))}
        </select>
      </label>
      <button type="button" onClick={() => area !== undefined && onAdd(flatArea(area.name))}>
        Add
      </button>
    </div>
  );
}

/** An area of no depth: it changes nothing until somebody deepens it. */
function flatArea(name: string): AreaPlan {
  return {
    name,
    depth_mm: mm(0),
    length_mm: null,
    width_mm: null,
    blend_mm: null,
    move_distal_mm: mm(0),
    move_around_mm: mm(0),
  };
}
