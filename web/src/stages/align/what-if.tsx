import type { AreaChange, MoveOutcome } from "../../api/replies";
import { useView } from "../../case/view-context";
import { SelectField } from "../../components/choice-field";
import { useUnits } from "../../units/units-context";
import { labelHead, named } from "../../words/words";
import type { Outcome } from "./use-what-if";

const MOMENTS = [
  { phase: "mid_stance", plane: "coronal", head: "Coronal, mid stance" },
  { phase: "early_stance", plane: "sagittal", head: "Sagittal, early stance" },
  { phase: "mid_stance", plane: "sagittal", head: "Sagittal, mid stance" },
  { phase: "late_stance", plane: "sagittal", head: "Sagittal, late stance" },
] as const;

/** The tried or wanted change before and after: moments, lengths, pressures by area, findings. */
export function WhatIfAnswer({ state }: { state: Outcome }) {
  switch (state.kind) {
    case "none":
      return null;
    case "running":
      return (
        <p className="quiet" role="status">
          Computing what the change does …
        </p>
      );
    case "failed":
      return <p className="problem">{state.sentence}</p>;
    case "known":
      return <Changes outcome={state.outcome} />;
  }
}

function Changes({ outcome }: { outcome: MoveOutcome }) {
  const { number, text, sign } = useUnits();
  const { settings, setSettings } = useView();
  const cases = [...new Set(outcome.areas.map(({ load_case }) => load_case))];
  const loadCase = cases.includes(settings.loadCase) ? settings.loadCase : (cases[0] ?? "");
  return (
    <div className="what-if">
      <h4>What the change does</h4>
      <table className="table figures">
        <caption>
          Moments on the socket at the datum, in N·m; upper bounds, since people adapt
        </caption>
        <Head unit="" />
        <tbody>
          {MOMENTS.map(({ phase, plane, head }) => {
            const one = outcome.moments.find(
              (item) => item.place === "datum" && item.phase === phase && item.plane === plane,
            );
            return one === undefined ? null : (
              <tr key={head}>
                <th scope="row">{head}</th>
                <td className="number">{number(one.before_n_m, "N·m", 1)}</td>
                <td className="number">{number(one.after_n_m, "N·m", 1)}</td>
              </tr>
            );
          })}
          <tr>
            <th scope="row">Tube to cut, {sign("mm")}</th>
            <td className="number">{number(outcome.pylon_before_mm, "mm", 0)}</td>
            <td className="number">{number(outcome.pylon_after_mm, "mm", 0)}</td>
          </tr>
        </tbody>
      </table>
      <SelectField
        label="Pressures under load"
        value={loadCase}
        options={cases.map((value) => ({ value, label: named(value) }))}
        onChange={(next) => setSettings((now) => ({ ...now, loadCase: next }))}
      />
      <table className="table figures">
        <caption>
          Mean pressure in kPa, {labelHead(outcome.label).toLowerCase()}; the largest change first
        </caption>
        <Head unit="of limit" />
        <tbody>
          {byChange(outcome.areas.filter((one) => one.load_case === loadCase)).map((one) => (
            <tr key={one.area}>
              <th scope="row">{named(one.area)}</th>
              <td className="number">{kpa(one.mean_before_kpa, number)}</td>
              <td className="number">{kpa(one.mean_after_kpa, number)}</td>
              <td className="number">
                {one.limit_kpa === null || one.mean_after_kpa === null
                  ? "–"
                  : `${Math.round((100 * one.mean_after_kpa) / one.limit_kpa).toString()} %`}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <Findings title="Would come" texts={outcome.new_findings} />
      <Findings title="Would go" texts={outcome.gone_findings} />
      <p className="remark">
        Datum to floor {text(outcome.length_before_mm, "mm", 0)}, then{" "}
        {text(outcome.length_after_mm, "mm", 0)}. Nothing is turned on the leg until you set it so,
        at the drawing.
      </p>
    </div>
  );
}

function Head({ unit }: { unit: string }) {
  return (
    <thead>
      <tr>
        <td />
        <th scope="col" className="number">
          Before
        </th>
        <th scope="col" className="number">
          After
        </th>
        {unit === "" ? null : (
          <th scope="col" className="number">
            {unit}
          </th>
        )}
      </tr>
    </thead>
  );
}

function Findings({ title, texts }: { title: string; texts: readonly string[] }) {
  return texts.length === 0 ? null : (
    <details className="more">
      <summary>
        {title}: {texts.length.toString()}
      </summary>
      <ul>
        {texts.map((one) => (
          <li key={one}>{one}</li>
        ))}
      </ul>
    </details>
  );
}

function kpa(value: number | null, number: (value: number, unit: string) => string): string {
  return value === null ? "not held" : number(value, "kPa");
}

/** The largest change first; what is held only before or after leads. */
export function byChange(areas: readonly AreaChange[]): AreaChange[] {
  const change = (one: AreaChange): number =>
    one.mean_before_kpa === null || one.mean_after_kpa === null
      ? Number.POSITIVE_INFINITY
      : Math.abs(one.mean_after_kpa - one.mean_before_kpa);
  return [...areas].sort((a, b) => change(b) - change(a));
}
