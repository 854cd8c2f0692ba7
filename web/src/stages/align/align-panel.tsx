import { Said } from "../../components/said";
import "./align.css";
import { useState } from "react";
import type { Alignment } from "../../api/results";
import { useDocument, useStage } from "../../case/case-context";
import { Block } from "../../components/block";
import { LineChart } from "../../components/line-chart";
import { StageResults } from "../../components/stage-results";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { Observations } from "../../workshop/observations";
import { AdaptersForm } from "./adapters-form";
import { BenchForm } from "./bench-form";
import { EffectsTable } from "./effects-table";
import { LegReadout } from "./leg-readout";
import { LegViews } from "./leg-views";
import { LoadLineTable } from "./load-line-table";
import { ScrewAnswer } from "./screw-answer";
import { hasWish, type Trial } from "./trial";
import { Turned } from "./turned";
import { useWhatIf } from "./use-what-if";
import { WantedForm } from "./wanted-form";
import { WhatIfAnswer } from "./what-if";

/** Where the load line is, and which screws move it. */
export function AlignPanel() {
  const state = useStage("align");
  const [trial, setTrial] = useState<Trial | null>(null);
  const outcome = useWhatIf(trial);
  return (
    <>
      <Block title="The leg">
        <LegViews trial={trial} onTry={setTrial} />
        <LegReadout trial={trial} outcome={outcome} onTry={setTrial} />
        <Turned />
      </Block>
      <BenchForm />
      <Block title="Moments through stance">
        <StageResults state={withoutFindings(state)}>
          {(alignment) => (
            <>
              <Moments alignment={alignment} />
              <EffectsTable effects={alignment.effects} />
              <LoadLineTable line={alignment.load_line} />
            </>
          )}
        </StageResults>
      </Block>
      <Block title="A wanted change">
        <WantedForm />
        <WantedAnswer tried={trial !== null} />
        <WhatIfAnswer state={outcome} />
      </Block>
      <Observations />
      <StageResults state={state}>{(alignment) => <Loads alignment={alignment} />}</StageResults>
      <AdaptersForm />
    </>
  );
}

/** The screws for what is wanted; while a foot is tried, its own stand at the drawing. */
function WantedAnswer({ tried }: { tried: boolean }) {
  const state = useStage("align");
  const { align } = useDocument();
  if (tried) {
    return (
      <p className="remark">
        A foot is being tried: its screws are listed at the drawing above. Keep it as a wish to
        enter it here.
      </p>
    );
  }
  if (!hasWish(align)) {
    return <p className="remark">No change is wanted.</p>;
  }
  return (
    <StageResults state={withoutFindings(state)}>
      {(alignment) => <ScrewAnswer adjustment={alignment.adjustment} screws={alignment.screws} />}
    </StageResults>
  );
}

/** A stage's state for a part of the panel; its findings stand once, at the end. */
function withoutFindings<State extends object>(state: State): State {
  return "findings" in state ? { ...state, findings: [] } : state;
}

function Moments({ alignment }: { alignment: Alignment }) {
  const { moments } = alignment;
  return (
    <>
      <LineChart
        title="Moments on the socket"
        x={moments.stance_percent}
        xLabel="% of stance"
        yLabel={`N·m at the ${moments.at}`}
        series={[
          { name: "Coronal", values: moments.coronal_n_m, style: 1 },
          { name: "Sagittal", values: moments.sagittal_n_m, style: 2 },
          { name: "Twist", values: moments.transverse_n_m, style: 3 },
        ]}
      />
      <p className="remark">
        Above zero: coronal drives the knee outward, sagittal drives it back, twist turns the front
        inward.
      </p>
    </>
  );
}

function Loads({ alignment }: { alignment: Alignment }) {
  const { number, said } = useUnits();
  const text = new Map(alignment.load_cases.map((load) => [load.name, load.text]));
  return (
    <Block title="Load cases">
      <table className="table figures tight">
        <caption>
          Socket on limb at the datum, in the axes of the ground: forces in N, moments in N·m
        </caption>
        <thead>
          <tr>
            <th scope="col">Load</th>
            <th scope="col" className="number">
              Up
            </th>
            <th scope="col" className="number">
              Forward
            </th>
            <th scope="col" className="number">
              Outward
            </th>
            <th scope="col" className="number">
              Coronal
            </th>
            <th scope="col" className="number">
              Sagittal
            </th>
          </tr>
        </thead>
        <tbody>
          {alignment.ground_loads.map((load) => (
            <tr key={load.name} title={said(text.get(load.name) ?? "")}>
              <th scope="row">{named(load.name)}</th>
              <td className="number">{number(load.up_n, "N")}</td>
              <td className="number">{number(load.forward_n, "N")}</td>
              <td className="number">{number(load.outward_n, "N")}</td>
              <td className="number">{number(load.coronal_n_m, "N·m", 1)}</td>
              <td className="number">{number(load.sagittal_n_m, "N·m", 1)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <details className="more">
        <summary>What each load rests on</summary>
        <dl className="explained">
          {alignment.load_cases.map((load) => (
            <div key={load.name}>
              <dt>{named(load.name)}</dt>
              <dd>
                <Said text={load.text} />
              </dd>
            </div>
          ))}
        </dl>
      </details>
    </Block>
  );
}
