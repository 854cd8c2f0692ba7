import { useState } from "react";
import type { AreaPlan } from "../../api/document";
import { useInfo, useSection } from "../../case/case-context";
import { useView } from "../../case/view-context";
import { Block } from "../../components/block";
import { SelectField } from "../../components/choice-field";
import { useListFocus } from "../../components/use-list-focus";
import { mm } from "../../units/quantities";
import { labelHead, named } from "../../words/words";
import { useLivePressure } from "../../workshop/use-live-pressure";
import { useResults } from "../../workshop/use-viewer";
import { AreaTable } from "./area-table";

/** The load and relief areas in one table, with what each carries under the load in view. */
export function AreaEditor() {
  const [shape, change] = useSection("shape");
  const { areas } = useInfo();
  const { settings, setSettings } = useView();
  const proof = useResults("prove");
  const live = useLivePressure();
  const { heading, removing } = useListFocus(shape.areas.length);
  const loads = (name: string): boolean => areas.find((area) => area.name === name)?.loads ?? false;
  const indexed = shape.areas.map((area, index) => ({ area, index }));
  const kind = (title: string, wanted: boolean) => ({
    title,
    loads: wanted,
    lines: indexed.filter(({ area }) => loads(area.name) === wanted),
  });
  const unused = areas.filter((area) => !shape.areas.some((used) => used.name === area.name));
  return (
    <Block title="Areas" heading={heading}>
      <p className="remark">
        Touch an area on the limb, drag its mark to move it, the squares at its edge to stretch it,
        the round handle away from the mark to deepen it. An arrow key moves a handle that has the
        focus; Alt and an arrow go to the next row here.
      </p>
      {proof === null ? null : (
        <>
          <SelectField
            label="Under load"
            value={settings.loadCase}
            options={proof.interface.cases.map((one) => ({
              value: one.load_case,
              label: named(one.load_case),
            }))}
            onChange={(loadCase) => setSettings((now) => ({ ...now, loadCase }))}
          />
          <p className="trust-label" role="status">
            {labelHead(proof.interface.label)}
            {live.behind ? ": computing …" : ", up to date"}
          </p>
        </>
      )}
      <AreaTable
        kinds={[
          kind("Load areas: the socket presses in", true),
          kind("Relief areas: space is added", false),
        ]}
        pressures={live.areas}
        behind={live.behind}
        onChange={(index, area) =>
          change({ areas: shape.areas.map((old, i) => (i === index ? area : old)) })
        }
        onRemove={(index) =>
          removing(() => change({ areas: shape.areas.filter((_, i) => i !== index) }))
        }
      />
      <AddArea unused={unused} onAdd={(area) => change({ areas: [...shape.areas, area] })} />
    </Block>
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
