import { type KeyboardEvent, useEffect, useMemo, useRef, useState } from "react";
import { useCoarsePointer } from "../browser/use-coarse-pointer";
import { useCaseState, useDocument, useInfo, useSession } from "../case/case-context";
import { useView } from "../case/view-context";
import { arraysFor, isUnderLoad, openFitting, stageView } from "../case/view-settings";
import { Said } from "../components/said";
import { areCurrent, isCurrent } from "../state/case-state";
import { useUnits } from "../units/units-context";
import type { Reading, Triple } from "../viewer/scene";
import { labelHead, named } from "../words/words";
import { CROSS_HAIR_KEYS, CrossHair, useCrossHair } from "./cross-hair";
import { stepsIn, useHandling } from "./handling";
import { Legend } from "./legend";
import { useMeasured } from "./measuring";
import { paintingOf } from "./painting";
import { handlePictureKey } from "./picture-keys";
import { PictureLine } from "./picture-line";
import { hideReadout, readingLines } from "./readout";
import { buildScene } from "./scene-builder";
import { SectionPanel, useCaseSection } from "./section-panel";
import { StepPad } from "./step-pad";
import { useTriedPressure } from "./tried-context";
import { useShapedArea } from "./use-area-shaping";
import { useEarlier } from "./use-earlier";
import { useHeldLandmark } from "./use-held-landmark";
import { useShapeLayers } from "./use-shape-layers";
import { useArrays, useResults, useViewer } from "./use-viewer";
import { AgainstField, LayerControls, StandardViews } from "./view-controls";
import { useViewerEvents } from "./viewer-events";
import { handleViewerKey, viewKeysWords } from "./viewer-keys";

/** The limb, always in view: the picture, what it shows and what its colours mean. */
export function LimbView({ stage }: { stage: string }) {
  const session = useSession();
  const state = useCaseState();
  const { person, shape: shapePlan, fit: fitPlan } = useDocument();
  const { side } = person;
  const areas = useInfo().areas;
  const { settings, setSettings } = useView();
  const units = useUnits();
  const arrays = useArrays();
  const [limb, shape, alignment, proof] = [
    useResults("capture"),
    useResults("shape"),
    useResults("align"),
    useResults("prove"),
  ];
  const [fit, made] = [useResults("fit"), useResults("make")];
  const view = stageView(settings, stage);
  const fitting = openFitting(settings, fitPlan.fittings.length);
  const names = useMemo(() => areas.map((area) => area.name), [areas]);

  const wanted = useMemo(() => arraysFor(settings, stage, names), [settings, stage, names]);
  useEffect(() => session.want(wanted), [session, wanted]);

  const comparing = view.colouring === "change";
  const earlier = useEarlier(comparing ? settings.against : null, settings.loadCase);
  const tried = useTriedPressure(settings.loadCase, view.colouring === "pressure");
  const painting = useMemo(
    () =>
      paintingOf(view.colouring, settings.loadCase, arrays, proof, earlier.arrays, {
        limb,
        made,
        // Until they are there, those that stand stay, dimmed.
        ...(tried === null || (tried.held && tried.values === null) ? {} : { tried: tried.values }),
      }),
    [view.colouring, settings.loadCase, arrays, proof, earlier.arrays, limb, made, tried],
  );
  const section = useCaseSection(settings.sectionMm);
  const { held, hold } = useHeldLandmark();
  const measured = useMeasured(settings.measured);
  const host = useRef<HTMLDivElement>(null);
  const readout = useRef<HTMLDivElement>(null);
  const markAt = useRef<Triple | null>(null);
  const [seen, setSeen] = useState("");
  const readingText = (reading: Reading): string[] =>
    readingLines(reading, { painting, arrays, areas: names, units });
  const { viewer, fault } = useViewer(
    host,
    useViewerEvents({
      readout,
      readingText,
      arrays,
      areas: names,
      markAt,
      onHeld: hold,
      onView: setSeen,
    }),
  );
  const shaped = useShapedArea(viewer, arrays, stage);
  useEffect(() => {
    markAt.current = shaped?.at ?? null;
  }, [shaped]);
  const layers = useShapeLayers(viewer, arrays, stage, view);
  const trimDrawn = session.arraysOf()?.shape.trim ?? shapePlan.trim;
  const scene = useMemo(
    () =>
      buildScene({
        side,
        arrays,
        view,
        settings,
        paint: painting?.paint ?? null,
        limb,
        shape,
        alignment,
        section: section.cut,
        held: held?.preview ?? null,
        way: measured.found?.way_patient_mm ?? null,
        proof,
        fit,
        stage,
        fitting,
        trim: shapePlan.trim,
        fittings: fitPlan.fittings,
        trimDrawn,
        shaped,
        layers,
        text: (value) => units.text(value, "mm", 0),
      }),
    [
      side,
      arrays,
      view,
      settings,
      painting,
      limb,
      shape,
      alignment,
      section.cut,
      measured.found,
      held,
      proof,
      fit,
      stage,
      fitting,
      shapePlan.trim,
      fitPlan.fittings,
      trimDrawn,
      shaped,
      layers,
      units,
    ],
  );

  useEffect(() => viewer?.show(scene), [viewer, scene]);
  useEffect(() => viewer?.setInches(units.choice.length === "inch"), [viewer, units]);
  // A reading that stayed under a finger belongs to the colours, and to the place on the screen,
  // that it was read from.
  // biome-ignore lint/correctness/useExhaustiveDependencies: other colours are the occasion
  useEffect(() => {
    const hide = (): void => hideReadout(readout.current);
    hide();
    if (viewer !== null) {
      viewer.onPose = hide;
    }
  }, [viewer, painting, stage, units]);

  const picking =
    settings.picking !== null || settings.complaint !== null || settings.measured !== null;
  // Both points of a measure taken, nothing more is asked for.
  const asked = picking && settings.measured?.length !== 2;
  useEffect(() => {
    const giveUp = (event: globalThis.KeyboardEvent): void => {
      if (event.key === "Escape") {
        setSettings((now) => ({ ...now, picking: null, complaint: null, measured: null }));
      }
    };
    if (picking) {
      addEventListener("keydown", giveUp);
    }
    return () => removeEventListener("keydown", giveUp);
  }, [picking, setSettings]);

  const { refusal } = state;
  // A landmark that cannot lie where it was put goes back to where it is.
  // biome-ignore lint/correctness/useExhaustiveDependencies: a refusal is the occasion
  useEffect(() => {
    if (refusal !== null && held !== null) {
      viewer?.previewMarker(`landmark:${held.name}`, null);
    }
  }, [refusal]);
  const { handling, placing } = useHandling(viewer, scene.markers, limb);
  const coarse = useCoarsePointer();
  const padShown = (settings.pad ?? coarse) && !picking;
  const { missed, onKey } = useCrossHair(host, viewer, asked);
  const onKeyDown = (event: KeyboardEvent): void => {
    if (
      onKey(event) ||
      handlePictureKey(event, handling, stepsIn(units)) ||
      (viewer !== null && handleViewerKey(event.key, viewer))
    ) {
      event.preventDefault();
    }
  };

  // Shares of limits are read from the results, all else from the arrays.
  const current = areCurrent(state, wanted) && (isCurrent(state) || view.colouring !== "share");
  const dimmed = !(current && (tried?.current ?? true)) && state.evaluated !== null;
  const underLoad = isUnderLoad(view.colouring);
  return (
    <section className="limb-view" aria-label="The limb">
      <StandardViews viewer={viewer} side={side} />
      <PictureLine
        stage={stage}
        seen={seen}
        held={held}
        measured={measured}
        missed={missed}
        painted={painting !== null}
        problem={earlier.problem}
        tried={tried}
      />
      <div className="picture-row">
        <LayerControls stage={stage} />
        <div className="picture-frame">
          <div className={`picture${dimmed ? " stale" : ""}${picking ? " picking" : ""}`}>
            <div
              ref={host}
              className="canvas-host"
              // biome-ignore lint/a11y/noNoninteractiveTabindex: arrows and view keys act on it
              tabIndex={0}
              role="application"
              aria-label={
                asked
                  ? `Picture of the ${side} limb. ${seen}. Arrow keys turn it, plus and minus zoom. ${CROSS_HAIR_KEYS}`
                  : pictureLabel(side, seen, units.text(stepsIn(units).move[0], "mm", 0))
              }
              onKeyDown={onKeyDown}
            />
            {asked ? <CrossHair /> : null}
            <div ref={readout} className="readout" data-keeps-clear="" hidden />
            {fault === null ? null : (
              <p className="refusal">
                This browser draws no 3-D picture here ({fault}). The numbers work without it.
              </p>
            )}
            <PictureNote dimmed={dimmed} />
          </div>
          {padShown && handling !== null ? (
            <StepPad viewer={viewer} handling={handling} placing={placing} />
          ) : null}
        </div>
        {painting === null && !comparing ? null : (
          <div className="picture-key">
            {painting === null ? null : (
              <Legend
                painting={painting}
                under={underLoad ? named(settings.loadCase) : null}
                label={underLoad && proof !== null ? labelHead(proof.interface.label) : null}
              />
            )}
            {comparing ? <AgainstField /> : null}
          </div>
        )}
        {settings.sectionMm === null ? null : (
          <SectionPanel
            levelMm={settings.sectionMm}
            {...section}
            limb={limb}
            side={side}
            onLevel={(level) => setSettings((now) => ({ ...now, sectionMm: level }))}
          />
        )}
      </div>
    </section>
  );
}

/** Why the picture is empty or dimmed, if it is. */
function PictureNote({ dimmed }: { dimmed: boolean }) {
  const { evaluated, stages, conflict, refusal, connection } = useCaseState();
  if (evaluated === null) {
    const words = stages.capture.kind === "ready" ? "Computing all else …" : "Computing the limb …";
    return (
      <p className="stale-note" data-keeps-clear="">
        {words}
      </p>
    );
  }
  if (stages.capture.kind === "failed") {
    return (
      <p className="stale-note no-limb" data-keeps-clear="">
        No limb to show: <Said text={stages.capture.sentence} />
      </p>
    );
  }
  const held = conflict !== null || refusal !== null || connection.kind === "lost";
  const words = held ? "As it was before your change" : "Recomputing …";
  return dimmed ? (
    <p className="stale-note" data-keeps-clear="">
      {words}
    </p>
  ) : null;
}

function pictureLabel(side: string, seen: string, step: string): string {
  return `Picture of the ${side} limb. ${seen}. Arrow keys turn it, plus and minus zoom, ${viewKeysWords("it")}. With Shift, arrows move the selected landmark, area, complaint, point of the trim line or cross-section by ${step}; with Alt too they stretch the area; Page Up and Page Down deepen and flatten it.`;
}
