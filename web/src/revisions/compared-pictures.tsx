import { type KeyboardEvent, type RefObject, useEffect, useMemo, useRef, useState } from "react";
import { useInfo } from "../case/case-context";
import { useView } from "../case/view-context";
import {
  arraysFor,
  COLOURINGS,
  INITIAL_VIEW,
  isUnderLoad,
  SIDE_BY_SIDE,
  stageView,
} from "../case/view-settings";
import { useUnits } from "../units/units-context";
import type { LimbViewer, ViewerEvents } from "../viewer/limb-viewer";
import { LinkedViewers } from "../viewer/linked-viewers";
import { paintedAt } from "../viewer/mesh-layer";
import type { Reading, Scene } from "../viewer/scene";
import { labelHead, named } from "../words/words";
import { Legend } from "../workshop/legend";
import { type Painting, paintingOf } from "../workshop/painting";
import { readingLines } from "../workshop/readout";
import { buildScene } from "../workshop/scene-builder";
import { usePicture } from "../workshop/use-viewer";
import { ColourFields, LayerBoxes, StandardViews } from "../workshop/view-controls";
import { handleViewerKey, viewKeysWords } from "../workshop/viewer-keys";
import { headOf } from "./result-changes";
import { onOneScale } from "./shared-scale";
import { refusalOf, resultsOf, type Shown, type ShownPair, sameSurface } from "./shown";
import { useShownArrays } from "./use-pair";

/** A change between two pictures needs no colour of its own where both stand side by side. */
const SIDE_COLOURINGS = COLOURINGS.filter(
  ({ value }) => value !== "change" && value !== "thickness",
);

interface ComparedPicturesProps {
  readonly id: string;
  readonly pair: ShownPair;
  /** Another pair is being computed; this one is what was shown before. */
  readonly computing: boolean;
}

/** Two limbs under one camera, one colour scale and one load. */
export function ComparedPictures({ id, pair, computing }: ComparedPicturesProps) {
  const { settings } = useView();
  const names = useAreaNames();
  const view = stageView(settings, SIDE_BY_SIDE);
  const wanted = useMemo(() => arraysFor(settings, SIDE_BY_SIDE, names), [settings, names]);
  const first = useShownArrays(id, pair.before, wanted);
  const second = useShownArrays(id, pair.after, wanted);
  const [before, after] = useMemo(() => {
    const painted = (shown: Shown, { arrays }: typeof first) =>
      paintingOf(view.colouring, settings.loadCase, arrays, resultsOf(shown, "prove"), undefined, {
        limb: resultsOf(shown, "capture"),
        made: null,
      });
    return onOneScale(painted(pair.before, first), painted(pair.after, second));
  }, [pair, first, second, view.colouring, settings.loadCase]);

  const hosts = [useRef<HTMLDivElement>(null), useRef<HTMLDivElement>(null)] as const;
  const readouts = [useRef<HTMLDivElement>(null), useRef<HTMLDivElement>(null)] as const;
  const [seen, setSeen] = useState("");
  const units = useUnits();
  const same = sameSurface(pair);

  const lines = (reading: Reading, painting: Painting | null, arrays: typeof first.arrays) => {
    const value = paintedAt(painting?.paint ?? null, reading);
    return readingLines({ ...reading, value }, { painting, arrays, areas: names, units });
  };
  const tell = (from: 0 | 1) => (reading: Reading | null, x: number, y: number) => {
    const sides = [
      [before, first.arrays],
      [after, second.arrays],
    ] as const;
    sides.forEach(([painting, arrays], side) => {
      const told = reading !== null && (side === from || same);
      write(readouts[side as 0 | 1], told ? lines(reading, painting, arrays) : null, x, y);
    });
  };
  const events = (side: 0 | 1): ViewerEvents => ({
    ...NO_EDITS,
    onReading: tell(side),
    onView: setSeen,
  });

  const left = usePicture(hosts[0], useShownScene(pair.before, first.arrays, before), events(0));
  const right = usePicture(hosts[1], useShownScene(pair.after, second.arrays, after), events(1));
  const linked = useLinked(left.viewer, right.viewer, first.arrays, second.arrays);
  const onKeyDown = (event: KeyboardEvent): void => {
    if (linked !== null && handleViewerKey(event.key, linked)) {
      event.preventDefault();
    }
  };

  const legend = before ?? after;
  const labels = [pair.before, pair.after].map((shown) => labelOf(shown));
  const fault = left.fault ?? right.fault ?? first.problem ?? second.problem;
  return (
    <section className="limb-view compared" aria-label="Two limbs side by side">
      <StandardViews viewer={linked} side={pair.after.document.person.side} />
      <SideControls pair={pair} />
      <PlaceNote pair={pair} same={same} />
      {fault === null ? null : <p className="refusal">{fault}</p>}
      <div className="compared-row">
        {([pair.before, pair.after] as const).map((shown, side) => (
          <figure key={side === 0 ? "before" : "after"} className="compared-side">
            <figcaption>
              <strong>{headOf(shown)}</strong>
              <span className="quiet">
                {shown.engine === null ? null : `Revision ${shown.revision.toString()}. `}
                {isUnderLoad(view.colouring) ? labels[side] : null}
              </span>
            </figcaption>
            <div className={computing ? "picture stale" : "picture"}>
              <div
                ref={hosts[side]}
                className="canvas-host"
                // biome-ignore lint/a11y/noNoninteractiveTabindex: arrows and view keys act on it
                tabIndex={0}
                role="application"
                aria-label={pictureLabel(shown, seen)}
                onKeyDown={onKeyDown}
              />
              <div ref={readouts[side]} className="readout" hidden />
              <NoLimb shown={shown} />
            </div>
          </figure>
        ))}
        {legend === null ? null : (
          <Legend
            painting={legend}
            under={isUnderLoad(view.colouring) ? named(settings.loadCase) : null}
            label={null}
          />
        )}
      </div>
      <p className="seen-both">
        {seen}
        <span role="status">{computing ? ". Computing the two that were chosen …" : ""}</span>
      </p>
    </section>
  );
}

/** Nothing is edited where two revisions stand side by side. */
const NO_EDITS = {
  onTouch: () => undefined,
  onMarker: () => undefined,
  onMarkerMoved: () => undefined,
};

function useAreaNames(): readonly string[] {
  const { areas } = useInfo();
  return useMemo(() => areas.map(({ name }) => name), [areas]);
}

function SideControls({ pair }: { pair: ShownPair }) {
  return (
    <div className="side-controls">
      <ColourFields
        stage={SIDE_BY_SIDE}
        proof={resultsOf(pair.after, "prove") ?? resultsOf(pair.before, "prove")}
        options={SIDE_COLOURINGS}
      />
      <details>
        <summary>Show</summary>
        <fieldset>
          <legend className="unseen">Layers</legend>
          <LayerBoxes stage={SIDE_BY_SIDE} />
        </fieldset>
      </details>
    </div>
  );
}

/** What one side shows, as that revision had it; nothing in it can be grabbed. */
function useShownScene(
  shown: Shown,
  arrays: Parameters<typeof buildScene>[0]["arrays"],
  painting: Painting | null,
): Scene {
  const { settings } = useView();
  const { text } = useUnits();
  const view = stageView(settings, SIDE_BY_SIDE);
  return useMemo(() => {
    const { person, shape } = shown.document;
    const scene = buildScene({
      side: person.side,
      arrays,
      view,
      settings: INITIAL_VIEW,
      paint: painting?.paint ?? null,
      limb: resultsOf(shown, "capture"),
      shape: resultsOf(shown, "shape"),
      alignment: resultsOf(shown, "align"),
      section: null,
      way: null,
      held: null,
      proof: resultsOf(shown, "prove"),
      fit: null,
      fittings: [],
      fitting: -1,
      shaped: null,
      layers: { lines: [], markers: [] },
      stage: SIDE_BY_SIDE,
      trim: shape.trim,
      trimDrawn: shape.trim,
      text: (value) => text(value, "mm", 0),
    });
    return { ...scene, markers: scene.markers.map((one) => ({ ...one, movable: false })) };
  }, [shown, arrays, view, painting, text]);
}

/** One camera for both, fitted to both once both are drawn. */
function useLinked(
  first: LimbViewer | null,
  second: LimbViewer | null,
  ...drawn: readonly ReadonlyMap<string, unknown>[]
): LinkedViewers | null {
  const [linked, setLinked] = useState<LinkedViewers | null>(null);
  useEffect(() => {
    if (first === null || second === null) {
      return;
    }
    const made = new LinkedViewers(first, second);
    setLinked(made);
    return () => {
      setLinked(null);
      made.unlink();
    };
  }, [first, second]);
  const both = drawn.every((arrays) => arrays.size > 0);
  useEffect(() => {
    if (both) {
      linked?.fit();
    }
  }, [linked, both]);
  return linked;
}

/** Written straight to the page: the pointer moves too often to render for it. */
function write(
  { current: box }: RefObject<HTMLDivElement | null>,
  lines: readonly string[] | null,
  x: number,
  y: number,
): void {
  if (box === null) {
    return;
  }
  box.hidden = lines === null;
  box.textContent = lines?.join("\n") ?? "";
  box.style.transform = `translate(${(x + 16).toFixed(0)}px, ${(y + 14).toFixed(0)}px)`;
}

/** Whether places of one side are places of the other. */
function PlaceNote({ pair, same }: { pair: ShownPair; same: boolean }) {
  const limbs = [pair.before, pair.after].map((shown) => resultsOf(shown, "capture"));
  if (same || limbs.includes(null)) {
    return null;
  }
  const sides = pair.before.document.person.side !== pair.after.document.person.side;
  return (
    <p className="place-note" role="status">
      {sides ? "The two are of different sides. " : ""}These are not the same surface: the scan, the
      landmarks or how the limb was captured differ, so that places cannot be held against each
      other. Each is shown in its own frame.
    </p>
  );
}

function NoLimb({ shown }: { shown: Shown }) {
  const refusal = refusalOf(shown, "capture");
  return refusal === null ? null : <p className="stale-note no-limb">No limb to show: {refusal}</p>;
}

function labelOf(shown: Shown): string | null {
  const proof = resultsOf(shown, "prove");
  return proof === null ? null : labelHead(proof.interface.label);
}

function pictureLabel(shown: Shown, seen: string): string {
  return `Picture of the ${shown.document.person.side} limb, ${headOf(shown)}. ${seen}. Both pictures turn together: arrow keys turn them, plus and minus zoom, ${viewKeysWords("them")}.`;
}
