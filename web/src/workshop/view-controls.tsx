import type { Side } from "../api/document";
import { SelectField } from "../components/choice-field";
import { SideBadge } from "../components/side-badge";
import type { LimbViewer } from "../viewer/limb-viewer";
import { STANDARD_VIEWS } from "../viewer/views";
import { named } from "../words/words";
import { useOtherRevisions } from "./use-earlier";
import { useResults } from "./use-viewer";
import { useView } from "./view-context";
import {
  COLOURINGS,
  isUnderLoad,
  LAYERS,
  stageView,
  withColouring,
  withLayer,
  withMeasuring,
  withSection,
} from "./view-settings";

interface StandardViewsProps {
  readonly viewer: LimbViewer | null;
  readonly side: Side;
}

/** Which side this is, and the standard views. */
export function StandardViews({ viewer, side }: StandardViewsProps) {
  return (
    <div className="view-bar">
      <SideBadge side={side} />
      <fieldset className="view-buttons">
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

/** The key that does the same while the picture has the focus. */
function Key({ name }: { name: string }) {
  return (
    <span className="key" aria-hidden="true">
      {name}
    </span>
  );
}

/** Which layers are shown, what is coloured and under which load. */
export function LayerControls({ stage }: { stage: string }) {
  const { settings, setSettings } = useView();
  const proof = useResults("prove");
  const view = stageView(settings, stage);
  const loadCases = proof?.interface.cases.map((one) => one.load_case) ?? [settings.loadCase];
  const underLoad = isUnderLoad(view.colouring);
  return (
    <div className="layer-controls">
      <details open>
        <summary>Show</summary>
        <fieldset>
          <legend className="unseen">Layers</legend>
          {LAYERS.map((layer) => (
            <label key={layer.name}>
              <input
                type="checkbox"
                checked={view.layers.has(layer.name)}
                onChange={() => setSettings((now) => withLayer(now, stage, layer.name))}
              />
              {layer.label}
            </label>
          ))}
          <label>
            <input
              type="checkbox"
              checked={settings.sectionMm !== null}
              onChange={() => setSettings(withSection)}
            />
            Cross-section
          </label>
        </fieldset>
      </details>
      <SelectField
        label="Colour by"
        value={view.colouring}
        options={COLOURINGS}
        onChange={(colouring) => setSettings((now) => withColouring(now, stage, colouring))}
      />
      {underLoad ? (
        <SelectField
          label="Under load"
          value={settings.loadCase}
          options={loadCases.map((name) => ({ value: name, label: named(name) }))}
          onChange={(loadCase) => setSettings((now) => ({ ...now, loadCase }))}
        />
      ) : null}
      <button
        type="button"
        aria-pressed={settings.measured !== null}
        onClick={() => setSettings(withMeasuring)}
      >
        Measure
      </button>
    </div>
  );
}

const NO_REVISION = "";

/** The revision that pressures are held against; it stands by the legend. */
export function AgainstField() {
  const { settings, setSettings } = useView();
  const others = useOtherRevisions(true);
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
