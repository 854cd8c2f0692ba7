import type { Finding } from "../api/results";
import { useView } from "../case/view-context";
import { Block } from "../components/block";
import { FindingText, Said } from "../components/said";
import { SeverityMark } from "../components/severity-mark";
import { useUnits } from "../units/units-context";
import { counted, named, stageTitle } from "../words/words";
import {
  type Both,
  checkRows,
  type FigureRow,
  figureRows,
  findingChanges,
  loadCases,
  pressureRows,
} from "./compare-results";
import { resultsOf, type Shown, type ShownPair } from "./shown";

interface PairProps {
  readonly pair: ShownPair;
}

/** What a side is called at the head of a column. */
export function headOf(shown: Shown): string {
  return shown.engine ?? `Revision ${shown.revision.toString()}`;
}

/** Pressures of each area: first under the load that is shown, the other loads on demand. */
export function PressureBlock({ pair }: PairProps) {
  const { settings } = useView();
  const [before, after] = [resultsOf(pair.before, "prove"), resultsOf(pair.after, "prove")];
  const loads = loadCases(before, after);
  const shown = loads.includes(settings.loadCase) ? settings.loadCase : loads[0];
  return (
    <Block title="Pressure side by side">
      {shown === undefined ? <p>Neither has pressures.</p> : <PressureTable {...{ pair, shown }} />}
      {loads.length < 2 ? null : (
        <details className="more">
          <summary>{counted(loads.length - 1, "other load")}</summary>
          {loads
            .filter((load) => load !== shown)
            .map((load) => (
              <PressureTable key={load} pair={pair} shown={load} />
            ))}
        </details>
      )}
    </Block>
  );
}

function PressureTable({ pair, shown }: PairProps & { shown: string }) {
  const { number } = useUnits();
  const kpa = (value: number): string => number(value, "kPa");
  const rows = pressureRows(resultsOf(pair.before, "prove"), resultsOf(pair.after, "prove"), shown);
  return (
    <table className="table figures compared-table">
      <caption>
        {named(shown)}, in kPa: {headOf(pair.before).toLowerCase()} →{" "}
        {headOf(pair.after).toLowerCase()}
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
            Limit
          </th>
        </tr>
      </thead>
      <tbody>
        {rows.map(({ area, mean, peak, limit }) => (
          <tr key={area}>
            <th scope="row">{named(area)}</th>
            <BothCell {...mean} write={kpa} />
            <BothCell {...peak} write={kpa} />
            {limit.before === null && limit.after === null ? (
              <td className="unknown number">not established</td>
            ) : (
              <BothCell {...limit} write={kpa} />
            )}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** "20 → 23"; once where nothing changed that can be seen. */
function BothCell({ before, after, write }: Both<number> & { write: (value: number) => string }) {
  const [first, second] = [before, after].map((value) => (value === null ? "–" : write(value)));
  return first === second ? (
    <td className="number same">{first}</td>
  ) : (
    <td className="number">
      {first} → <b>{second}</b>
    </td>
  );
}

/** Margins of suspension and strength, and what each needs. */
export function MarginBlock({ pair }: PairProps) {
  const [before, after] = [resultsOf(pair.before, "prove"), resultsOf(pair.after, "prove")];
  const groups = [
    { title: "Suspension", rows: checkRows(before?.suspension ?? [], after?.suspension ?? []) },
    { title: "Strength", rows: checkRows(before?.strength ?? [], after?.strength ?? []) },
  ].filter(({ rows }) => rows.length > 0);
  const write = (value: number): string => value.toFixed(2);
  return (
    <Block title="Margins side by side">
      <p className="remark">
        Strength is held against reference loads, not against approval; “–” is not established.
      </p>
      <table className="table figures compared-table" aria-label="Margins">
        <thead>
          <tr>
            <th scope="col">Check</th>
            <th scope="col" className="number">
              Margin
            </th>
            <th scope="col" className="number">
              Needed
            </th>
          </tr>
        </thead>
        {groups.map(({ title, rows }) => (
          <tbody key={title}>
            <tr className="stage-row">
              <th scope="rowgroup" colSpan={3}>
                {title}
              </th>
            </tr>
            {rows.map(({ name, place, condition, margin, required }) => (
              <tr key={`${name} ${placeWords(place)} ${placeWords(condition)}`}>
                <th scope="row">
                  {named(name)}
                  <span className="quiet">
                    <Said text={`${placeWords(place)}${placeWords(condition)}`} />
                  </span>
                </th>
                <BothCell {...margin} write={write} />
                <BothCell {...required} write={write} />
              </tr>
            ))}
          </tbody>
        ))}
      </table>
    </Block>
  );
}

/** ", at the brim"; where the weakest spot moved, from where to where. */
function placeWords({ before, after }: Both<string>): string {
  const places = [...new Set([before, after])].filter((one) => one !== null && one !== "");
  return places.length === 0 ? "" : `, ${places.join(" → ")}`;
}

/** Volumes, parts, where foot and socket stand and which screws to turn: what changed, then all. */
export function FigureBlock({ pair }: PairProps) {
  const { text } = useUnits();
  const shownAs = ({ unit }: FigureRow, value: number | null): string =>
    value === null ? "–" : text(value, unit, unit === "turns" ? 2 : undefined);
  const rows = figureRows(pair);
  const changed = rows.filter((row) => shownAs(row, row.before) !== shownAs(row, row.after));
  const same = rows.filter((row) => !changed.includes(row));
  return (
    <Block title="Volumes, parts and alignment">
      {changed.length === 0 ? <p>None of these figures changed.</p> : null}
      {changed.length === 0 ? null : (
        <table className="table figures compared-table" aria-label="Figures that changed">
          <thead>
            <tr>
              <th scope="col">Figure</th>
              <th scope="col" className="number">
                {headOf(pair.before)}
              </th>
              <th scope="col" className="number">
                {headOf(pair.after)}
              </th>
            </tr>
          </thead>
          <tbody>
            {changed.map((row) => (
              <tr key={row.name}>
                <th scope="row">{named(row.name)}</th>
                <td className="number">{shownAs(row, row.before)}</td>
                <td className="number">
                  <b>{shownAs(row, row.after)}</b>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {same.length === 0 ? null : (
        <details className="more">
          <summary>{counted(same.length, "figure")} the same on both sides</summary>
          <dl className="facts">
            {same.map((row) => (
              <div key={row.name}>
                <dt>{named(row.name)}</dt>
                <dd>
                  <span className="value">{shownAs(row, row.before)}</span>
                </dd>
              </div>
            ))}
          </dl>
        </details>
      )}
    </Block>
  );
}

/** Findings that are new, that are gone, and that weigh differently. */
export function FindingChangeBlock({ pair }: PairProps) {
  const { came, went, weighs } = findingChanges(pair.before.findings, pair.after.findings);
  const [first, second] = [headOf(pair.before), headOf(pair.after)];
  return (
    <Block title="Findings that changed">
      {came.length + went.length + weighs.length === 0 ? (
        <p>Both say the same, each with its own figures.</p>
      ) : null}
      <FindingGroup title={`New in ${lower(second)}`} findings={came} />
      <FindingGroup title={`Only in ${lower(first)}`} findings={went} />
      <FindingGroup
        title={`Weighs differently in ${lower(second)}`}
        findings={weighs.map(({ after }) => after)}
      />
    </Block>
  );
}

function FindingGroup({ title, findings }: { title: string; findings: readonly Finding[] }) {
  return findings.length === 0 ? null : (
    <section className="finding-group">
      <h4>{title}</h4>
      <ul>
        {findings.map((one) => (
          <li key={`${one.stage} ${one.code} ${one.where} ${one.text}`}>
            <SeverityMark severity={one.severity} words />
            <span className="quiet">{stageTitle(one.stage)}</span>
            <p>
              <FindingText finding={one} />
            </p>
          </li>
        ))}
      </ul>
    </section>
  );
}

function lower(head: string): string {
  return head.charAt(0).toLowerCase() + head.slice(1);
}
