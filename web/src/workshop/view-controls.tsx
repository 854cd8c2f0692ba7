import { useState } from "react";
import type { Side } from "../api/document";
import type { Proof } from "../api/results";
import { useCoarsePointer } from "../browser/use-coarse-pointer";
import { useCaseState } from "../case/case-context";
import { useView } from "../case/view-context";
import {
  COLOURINGS,
  isUnderLoad,
  LAYERS,
  type LayerName,
  ONLY_IN,
  stageView,
  withColouring,
  withLayer,
  withSection,
} from "../case/view-settings";
import { SelectField } from "../components/choice-field";
import { SideBadge } from "../components/side-badge";
import type { Steered } from "../viewer/limb-viewer";
import { STANDARD_VIEWS } from "../viewer/views";
import { named } from "../words/words";
import { useOtherRevisions } from "./use-revisions";
import { useResults } from "./use-viewer";
import { handleViewKey } from "./viewer-keys";

interface StandardViewsProps {
  readonly viewer: Steered | null;
  readonly side: Side | null;
  /** Nobody has said the side yet. */
  readonly guess?: boolean;
}

/** Which side this is, and the standard views. */
export function StandardViews({ viewer, side, guess = false }: StandardViewsProps) {
  return (
    <div className="view-bar">
      <SideBadge side={side} guess={guess} />
      <fieldset
        className="view-buttons"
        onKeyDown={(event) => {
          if (viewer !== null && handleViewKey(event.key, viewer)) {
            event.preventDefault();
          }
        }}
      >
        <legend className="unseen">Standard views</legend>
        {STANDARD_VIEWS.map((view) => (
          <button key={view.name} type="button" onClick={() => viewer?.look(view.name)}>
            {view.label}
            <Key name={view.key.toUpperCase()} />
          </button>
        ))}
        <button type="button" onClick={() => viewer?.fit()}>
          Fit
          <Key name="0" />
        </button>
      </fieldset>
    </div>
  );
}

/** The key that does the same while the picture or these buttons have the focus: seen only then. */
function Key({ name }: { name: string }) {
  return (
    <span className="key" aria-hidden="true">
      {name}
    </span>
  );
}

/** Of a page: below it the open list would not fit beside the picture. */
const LOW_PX = 560;

/** What is coloured, under which load, and which layers are shown; beside the picture. */
export function LayerControls({ stage }: { stage: string }) {
  const { settings, setSettings } = useView();
  const coarse = useCoarsePointer();
  const [low] = useState(() => innerHeight < LOW_PX);
  const proof = useResults("prove");
  const { arrays } = useCaseState();
  const offered = LAYERS.filter(
    ({ name }) =>
      (ONLY_IN[name] ?? stage) === stage && (!isMade(name) || `${name}.positions` in arrays),
  );
  return (
    <div className="layer-controls">
      <ColourFields stage={stage} proof={proof} options={COLOURINGS} />
      {/* A list for fingers, or on a low page, opens on demand and leaves the limb its room. */}
      <details open={!coarse && !low}>
        <summary>Show</summary>
        <fieldset>
          <legend className="unseen">Layers</legend>
          <label>
            <input
              type="checkbox"
              checked={settings.sectionMm !== null}
              onChange={() => setSettings(withSection)}
            />
            Cross-section
          </label>
          <LayerBoxes stage={stage} layers={offered} />
        </fieldset>
      </details>
    </div>
  );
}

interface LayerBoxesProps {
  readonly stage: string;
  readonly layers?: readonly (typeof LAYERS)[number][];
}

/** A box to tick for each layer; parts as made are offered only where they were made. */
export function LayerBoxes({ stage, layers = OF_THE_PLAN }: LayerBoxesProps) {
  const { settings, setSettings } = useView();
  const view = stageView(settings, stage);
  return layers.map((layer) => (
    <label key={layer.name}>
      <input
        type="checkbox"
        checked={view.layers.has(layer.name)}
        onChange={() => setSettings((now) => withLayer(now, stage, layer.name))}
      />
      {layer.label}
    </label>
  ));
}

function isMade(layer: LayerName): boolean {
  return layer === "made" || layer === "positive";
}

/** What any revision shows, at any stage. */
const OF_THE_PLAN = LAYERS.filter(({ name }) => !isMade(name) && ONLY_IN[name] === undefined);

interface ColourFieldsProps {
  readonly stage: string;
  /** Names the load cases to choose from. */
  readonly proof: Proof | null;
  readonly options: typeof COLOURINGS;
}

/** What is coloured, and under which load. */
export function ColourFields({ stage, proof, options }: ColourFieldsProps) {
  const { settings, setSettings } = useView();
  const { colouring } = stageView(settings, stage);
  const loadCases = proof?.interface.cases.map((one) => one.load_case) ?? [settings.loadCase];
  return (
    <>
      <SelectField
        label="Colour by"
        value={colouring}
        options={options}
        onChange={(colouring) => setSettings((now) => withColouring(now, stage, colouring))}
      />
      {isUnderLoad(colouring) ? (
        <SelectField
          label="Under load"
          value={settings.loadCase}
          options={loadCases.map((name) => ({ value: name, label: named(name) }))}
          onChange={(loadCase) => setSettings((now) => ({ ...now, loadCase }))}
        />
      ) : null}
    </>
  );
}

const NO_REVISION = "";

/** The revision that pressures are held against; it stands by the legend. */
export function AgainstField() {
  const { settings, setSettings } = useView();
  const others = useOtherRevisions();
  return (
    <div className="against">
      <SelectField
        label="Against"
        value={settings.against?.toString() ?? NO_REVISION}
        options={[
          { value: NO_REVISION, label: others.length === 0 ? "no other" : "choose" },
          ...others.map(({ number }) => ({
            value: number.toString(),
            label: `Revision ${number.toString()}`,
          })),
        ]}
        onChange={(number) =>
          setSettings((now) => ({
            ...now,
            against: number === NO_REVISION ? null : Number(number),
          }))
        }
      />
    </div>
  );
}
