import { useEffect, useRef, useState } from "react";
import type { Confirmation, MeshLevel } from "../../api/replies";
import type { Comparison, Proof } from "../../api/results";
import { revisionsAddress } from "../../browser/route";
import { useCaseState } from "../../case/case-context";
import { useService } from "../../case/service-context";
import { useView } from "../../case/view-context";
import { Block } from "../../components/block";
import { SelectField } from "../../components/choice-field";
import { Said } from "../../components/said";
import { figure } from "../../units/display";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { PlaceTable } from "./place-table";
import { useConfirming } from "./use-confirming";

const LEVELS: readonly { value: MeshLevel; label: string }[] = [
  { value: "coarse", label: "Coarse: soonest" },
  { value: "medium", label: "Medium" },
  { value: "fine", label: "Fine: takes longest" },
];

/** Confirming by finite elements, and bands of the quick model: run beside the edits. */
export function ConfirmBlock({ loadCase }: { loadCase: string }) {
  const service = useService();
  const { id, stored, evaluated } = useCaseState();
  const { confirming, found, start, cancel } = useConfirming(service, id, stored?.revision ?? 0);
  const [mesh, setMesh] = useState<MeshLevel>("medium");
  const running = confirming.kind === "running";
  const main = useRef<HTMLButtonElement>(null);
  const { settings, setSettings } = useView();
  useEffect(() => {
    if (settings.toConfirm) {
      main.current?.focus();
      main.current?.scrollIntoView({ block: "center" });
      setSettings((now) => ({ ...now, toConfirm: false }));
    }
  }, [settings.toConfirm, setSettings]);
  return (
    <Block title="How far to trust it">
      <p className="remark">
        Finite elements confirm what the quick model says; either run also tells the bands that
        bones, tissue and liner leave open, and what volume loss or a sock would do. Edits go on
        meanwhile.
      </p>
      <div className="confirm-row">
        <SelectField label="Mesh" labelHidden value={mesh} options={LEVELS} onChange={setMesh} />
        <button
          ref={main}
          type="button"
          className="main-button"
          disabled={running}
          onClick={() => start(mesh)}
        >
          Confirm by finite elements
        </button>
        <button type="button" disabled={running} onClick={() => start(null)}>
          Bands only
        </button>
      </div>
      {running ? (
        <div className="progress" role="status">
          <progress value={confirming.share} max={1} aria-label="Progress of confirming" />
          <span>{named(confirming.text)}</span>
          <button type="button" onClick={cancel}>
            Stop
          </button>
        </div>
      ) : null}
      {confirming.kind === "stopped" ? <p role="status">Stopped; nothing was changed.</p> : null}
      {confirming.kind === "failed" ? (
        <div className="refusal" role="alert">
          <p className="refusal-head">Nothing was confirmed.</p>
          <p>
            <Said text={confirming.sentence} />
          </p>
        </div>
      ) : null}
      {found === null ? null : (
        <Found found={found} loadCase={loadCase} standing={evaluated?.revision ?? null} />
      )}
    </Block>
  );
}

interface FoundProps {
  readonly found: Confirmation;
  readonly loadCase: string;
  /** The revision that is shown everywhere else. */
  readonly standing: number | null;
}

function Found({ found, loadCase, standing }: FoundProps) {
  const { id } = useCaseState();
  const proof = found.prove.results;
  if (proof === null) {
    return null;
  }
  const old = standing !== null && found.revision !== standing;
  return (
    <div className={old ? "confirmed stale-result" : "confirmed"}>
      <p className="trust-label">
        {old
          ? `Of revision ${found.revision.toString()}: the case has changed since. `
          : `Of revision ${found.revision.toString()}. `}
        <Said text={named(proof.interface.label)} />
      </p>
      {found.finite_elements ? (
        <p>
          <a href={revisionsAddress(id, "confirmed")}>
            Quick model and finite elements side by side on the limb
          </a>
        </p>
      ) : null}
      {proof.agreement === null ? null : (
        <Agreement agreement={proof.agreement} loadCase={loadCase} />
      )}
      <details className="more" open={proof.agreement === null}>
        <summary>By area and place, with bands</summary>
        <PlaceTable readings={proof.readings} loadCase={loadCase} />
      </details>
      <Study proof={proof} />
    </div>
  );
}

/** The quick model beside finite elements, area by area, in one load case. */
function Agreement({ agreement, loadCase }: { agreement: Comparison; loadCase: string }) {
  const { number } = useUnits();
  const pairs = agreement.pairs.filter((pair) => pair.load_case === loadCase);
  const rank = agreement.rank_correlation[loadCase];
  return (
    <>
      <p>
        <Said text={agreement.text} />
      </p>
      <table className="table figures">
        <caption>
          Area means in kPa, {named(loadCase).toLowerCase()}
          {rank === undefined ? "" : `; rank correlation ${figure(rank, 2)}`}
        </caption>
        <thead>
          <tr>
            <th scope="col">Area</th>
            <th scope="col" className="number">
              {named(agreement.first)}
            </th>
            <th scope="col" className="number">
              {named(agreement.second)}
            </th>
            <th scope="col" className="number">
              Change
            </th>
          </tr>
        </thead>
        <tbody>
          {pairs.map((pair) => (
            <tr key={pair.area}>
              <th scope="row">{named(pair.area)}</th>
              <td className="number">{number(pair.mean_kpa[0], "kPa")}</td>
              <td className="number">{number(pair.mean_kpa[1], "kPa")}</td>
              <td className="number">
                {pair.mean_change_percent === null
                  ? "–"
                  : `${figure(pair.mean_change_percent, 0)} %`}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}

/** What the bands rest on, what moves the pressures most, and what a changed limb would feel. */
function Study({ proof }: { proof: Proof }) {
  const { uncertainty, what_if: cases, answer } = proof;
  return (
    <>
      {answer === null ? null : (
        <p>
          <Said text={answer.text} />
        </p>
      )}
      {uncertainty === null ? null : (
        <details className="more">
          <summary>What moves these pressures most</summary>
          <p className="remark">
            <Said text={uncertainty.text} />
          </p>
          <ol className="influences">
            {uncertainty.influences.map((one) => (
              <li key={one.name}>
                <b>
                  <Said text={one.name} />
                </b>
                : <Said text={one.tried} />. Area means change by {signed(one.typical_percent[0])}{" "}
                to {signed(one.typical_percent[1])} %, most at the{" "}
                {named(one.worst_area).toLowerCase()} in {named(one.worst_case).toLowerCase()} (
                {signed(one.worst_percent)} %). <span className="source">{one.source}</span>
              </li>
            ))}
          </ol>
          {uncertainty.left_out.length === 0 ? null : (
            <p className="remark">Left out: {uncertainty.left_out.join("; ")}.</p>
          )}
        </details>
      )}
      {cases.length === 0 ? null : (
        <details className="more">
          <summary>What if the limb changes</summary>
          <ul className="influences">
            {cases.map((one) => (
              <li key={one.name}>
                <Said text={one.text} />
              </li>
            ))}
          </ul>
        </details>
      )}
    </>
  );
}

function signed(percent: number): string {
  const text = figure(percent, 0);
  return percent > 0 && text !== "0" ? `+${text}` : text;
}
