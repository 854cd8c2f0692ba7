/** From arrays, results and view settings to the scene that the viewer draws. */

import type { ArraySet } from "../api/client";
import type { Fitting, Point, Side, TrimPlan } from "../api/document";
import type { CaseSection, LandmarkPreview } from "../api/replies";
import type { Alignment, FitResult, Limb, Proof, SocketShape } from "../api/results";
import type { StageView, ViewSettings } from "../case/view-settings";
import type { Finish, LineItem, MarkerItem, MeshItem, Paint, Scene, Triple } from "../viewer/scene";
import { levelWords, named } from "../words/words";
import { floats } from "./painting";
import { toPatient } from "./patient-frame";
import { trimHeights } from "./trim-heights";
import { onLine, trimControls } from "./trim-points";
import type { ShapedArea } from "./use-area-shaping";
import type { ShapeLayers } from "./use-shape-layers";

const SEEN_THROUGH = 0.38;
const PAINT_SEEN_THROUGH = 0.65;
/** The marker that drags the plane of the cross-section. */
export const SECTION_GRIP = "section";

export interface SceneParts {
  readonly side: Side;
  readonly arrays: ArraySet;
  readonly view: StageView;
  readonly settings: ViewSettings;
  readonly paint: Paint | null;
  readonly limb: Limb | null;
  readonly shape: SocketShape | null;
  readonly alignment: Alignment | null;
  readonly section: CaseSection | null;
  /** The limb frame with a landmark held elsewhere. */
  readonly held: LandmarkPreview | null;
  /** Along the skin between the touched ends of a distance. */
  readonly way: readonly Triple[] | null;
  readonly proof: Proof | null;
  readonly fit: FitResult | null;
  readonly stage: string;
  /** Number of the fitting that is open. */
  readonly fitting: number;
  readonly trim: TrimPlan;
  readonly fittings: readonly Fitting[];
  /** The plan that the line in the arrays was drawn by. */
  readonly trimDrawn: TrimPlan;
  /** The selected area as it is dragged, where areas are worked on. */
  readonly shaped: ShapedArea | null;
  /** What only Shape shows. */
  readonly layers: ShapeLayers;
  /** A length in the units shown. */
  readonly text: (mm: number) => string;
}

export function buildScene(parts: SceneParts): Scene {
  return {
    meshes: meshes(parts),
    lines: lines(parts),
    markers: [
      ...landmarkMarkers(parts),
      ...areaMarker(parts),
      ...jointMarkers(parts),
      ...weakestMarker(parts),
      ...complaintMarkers(parts),
      ...trimMarkers(parts),
      ...measureMarkers(parts),
      ...sectionMarker(parts),
      ...parts.layers.markers,
    ],
    handles: parts.shaped?.handles ?? [],
    outward: parts.side === "right" ? 1 : -1,
  };
}

/** From the inside out: what lies around something shown is seen through. */
function meshes({ arrays, view, paint: colours, settings }: SceneParts): MeshItem[] {
  const { layers } = view;
  const shown: (MeshItem | null)[] = [];
  const onMade = colours?.only === "made" ? colours : null;
  const paint = onMade === null ? colours : null;
  const faces = arrays.get("limb.faces");
  let around = false;
  const opacity = (painted: Paint | null): number =>
    around ? (painted === null ? SEEN_THROUGH : PAINT_SEEN_THROUGH) : 1;
  if (layers.has("bones")) {
    shown.push(...["tibia", "fibula"].map((name) => whole(arrays, name, "bone", 1)));
    around = true;
  }
  if (layers.has("skin")) {
    const look: Look = { finish: "skin", opacity: opacity(paint), paint };
    shown.push(mesh("skin", arrays.get("limb.positions"), faces, look));
    around = true;
  }
  if (layers.has("shape")) {
    const look: Look = { finish: "shape", opacity: opacity(paint), paint };
    const shape = mesh("shape", arrays.get("rectified.positions"), faces, look);
    // Distances are told along the skin, and so are touched on the skin alone.
    shown.push(shape && { ...shape, readable: settings.measured === null });
    around = true;
  }
  if (layers.has("positive")) {
    shown.push(whole(arrays, "positive", "shape", 1));
    around = true;
  }
  const made = layers.has("made") ? whole(arrays, "made", "model", opacity(onMade), onMade) : null;
  // Its colours are read at the pointer; a landmark or a distance is of the limb, never of it.
  shown.push(made && { ...made, readable: made.paint !== null && !isAsked(settings) });
  // The made socket is model and coupling in one: both would lie in its faces.
  if (layers.has("model") && made === null) {
    shown.push(whole(arrays, "model", "model", opacity(null)));
    around = true;
  }
  if (layers.has("outside") && made === null) {
    const look: Look = { finish: "model", opacity: opacity(null), paint: null };
    const outside = mesh(
      "outside",
      arrays.get("outside.positions"),
      arrays.get("model.faces"),
      look,
    );
    shown.push(outside && { ...outside, readable: false });
  }
  if (layers.has("coupling") && made === null) {
    shown.push(whole(arrays, "coupling", "hardware", 1));
  }
  return shown.filter((item) => item !== null);
}

interface Look {
  readonly finish: Finish;
  readonly opacity: number;
  readonly paint: Paint | null;
}

function mesh(
  id: string,
  positions: ArrayBufferView | undefined,
  faces: ArrayBufferView | undefined,
  look: Look,
): MeshItem | null {
  if (!(positions instanceof Float32Array) || !(faces instanceof Uint32Array)) {
    return null;
  }
  const fits =
    look.paint !== null &&
    (look.paint.only ?? id) === id &&
    look.paint.values.length * 3 === positions.length;
  const paint = fits ? look.paint : null;
  return { id, positions, faces, ...look, paint, readable: true };
}

/** Whether the next touch of the limb is asked for. */
function isAsked({ picking, complaint, measured }: ViewSettings): boolean {
  return picking !== null || complaint !== null || measured !== null;
}

function whole(
  arrays: ArraySet,
  name: string,
  finish: Finish,
  opacity: number,
  paint: Paint | null = null,
): MeshItem | null {
  const item = mesh(name, arrays.get(`${name}.positions`), arrays.get(`${name}.faces`), {
    finish,
    opacity,
    paint,
  });
  return item && { ...item, readable: false };
}

/** Control points of the trim line with their heights, where the shape is worked on. */
function trimMarkers({
  arrays,
  view,
  stage,
  side,
  trim,
  trimDrawn,
  settings,
  limb,
  text,
}: SceneParts): MarkerItem[] {
  const line = floats(arrays, "trim.positions");
  if (line === null || stage !== "shape" || !view.layers.has("trim")) {
    return [];
  }
  const drawn = new Map(trimControls(trimDrawn).map(({ name, heightMm }) => [name, heightMm]));
  const heights = trimHeights(trim, limb, text);
  return trimControls(trim).flatMap((control) => {
    const at = onLine(line, side === "right" ? 1 : -1, control.angleDeg);
    const raised = control.heightMm - (drawn.get(control.name) ?? control.heightMm);
    const selected = settings.trim === control.name;
    const against = heights.filter(({ name }) => selected && name === control.name);
    return at === null
      ? []
      : [
          {
            id: `trim:${control.name}`,
            label: [
              `${control.label} ${text(control.heightMm)}`,
              ...against.map(({ words }) => words),
            ].join("; "),
            at: [at[0], at[1], at[2] + raised] as const,
            look: "sure" as const,
            selected,
            movable: true,
          },
        ];
  });
}

/** The touched ends of a distance. */
function measureMarkers({ settings }: SceneParts): MarkerItem[] {
  return (settings.measured ?? []).map((at, i) => ({
    id: `measure:${i.toString()}`,
    label: i === 0 ? "from" : "to",
    at,
    look: "joint",
    selected: false,
    movable: false,
  }));
}

function measureLine(measured: readonly Triple[] | null): LineItem[] {
  const [from, to] = measured ?? [];
  return from === undefined || to === undefined
    ? []
    : // The chord lies inside the limb: whole where it is seen, dashed through what hides it. Its
      // dashes have no casing, which would hide the way along the skin in front of them.
      [
        markingLine("measured", [from, to]),
        markingLine("measured:through", [from, to], { through: true, cased: false }),
      ];
}

function measuredWay(way: readonly Triple[] | null): LineItem[] {
  return way === null ? [] : [markingLine("measured:way", way)];
}

/** Where the zero level and the long axis come to lie. */
function heldFrame(held: LandmarkPreview | null): LineItem[] {
  return held === null
    ? []
    : [
        markingLine("held:axis", held.axis_patient_mm, { through: true }),
        ...held.datum_patient_mm.map((outline, i) =>
          markingLine(`held:${i.toString()}`, outline, { closed: true }),
        ),
      ];
}

/** What was measured, cut or is held: drawn on the limb, and dark on pale in either scheme. */
function markingLine(
  id: string,
  points: readonly Point[],
  {
    closed = false,
    through = false,
    cased = true,
  }: { closed?: boolean; through?: boolean; cased?: boolean } = {},
): LineItem {
  const positions = new Float32Array(points.flat());
  return { id, positions, closed, finish: "mark", widthPx: 2.5, through, cased };
}

function cutOutlines({ outlines: { inside, skin } }: CaseSection) {
  return inside !== undefined && inside.length > 0 ? inside : (skin ?? []);
}

/** What the section's plane is dragged by: in front, clear of the layers and the legend. */
function sectionMarker({ section, settings, text }: SceneParts): MarkerItem[] {
  const level = settings.sectionMm;
  if (section === null || level === null) {
    return [];
  }
  const [edge] = cutOutlines(section)
    .flat()
    .sort(([, a], [, b]) => b - a);
  return edge === undefined
    ? []
    : [
        {
          id: SECTION_GRIP,
          label: `Cross-section ${levelWords(level, (value) => text(value))}`,
          at: [...edge, -level],
          look: "sure",
          selected: false,
          movable: true,
        },
      ];
}

/** The socket's inside at the level of the cross-section, or the skin where there is no socket. */
function sectionLines(section: CaseSection | null): LineItem[] {
  if (section === null) {
    return [];
  }
  const points = (outline: readonly (readonly [number, number])[]): Triple[] =>
    outline.map(([x, y]) => [x, y, -section.level_mm]);
  return cutOutlines(section).map((outline, i) =>
    markingLine(`section:${i.toString()}`, points(outline), { closed: true }),
  );
}

function lines({
  arrays,
  view,
  alignment,
  side,
  section,
  settings,
  shaped,
  layers,
  way,
  held,
}: SceneParts): LineItem[] {
  const shown: LineItem[] = [
    ...sectionLines(section),
    ...measureLine(settings.measured),
    ...measuredWay(way),
    ...heldFrame(held),
    ...layers.lines,
    ...(shaped?.lines ?? []),
  ];
  const trim = floats(arrays, "trim.positions");
  if (view.layers.has("trim") && trim !== null) {
    shown.push({ id: "trim", positions: trim, closed: true, finish: "trim", widthPx: 3 });
  }
  const leg = floats(arrays, "leg.positions");
  if (view.layers.has("leg") && leg !== null) {
    shown.push({ id: "leg", positions: leg, closed: false, finish: "leg", widthPx: 4 });
  }
  const plumb = view.layers.has("leg") && alignment !== null ? plumbLine(alignment, side) : null;
  if (plumb !== null) {
    shown.push({ id: "plumb", positions: plumb, closed: false, finish: "plumb", widthPx: 1.5 });
  }
  return shown;
}

function landmarkMarkers({ view, settings, limb, side }: SceneParts): MarkerItem[] {
  if (!view.layers.has("landmarks") || limb === null) {
    return [];
  }
  return Object.values(limb.landmarks).map((landmark) => ({
    id: `landmark:${landmark.name}`,
    label: landmark.basis === "guessed" ? `${named(landmark.name)}?` : named(landmark.name),
    at: toPatient(landmark.point_mm, side),
    look: landmark.basis === "guessed" ? "guess" : "sure",
    selected: settings.landmark === landmark.name || settings.picking === landmark.name,
    movable: true,
  }));
}

/** The chosen area's, only where areas are: elsewhere it would be dragged for a landmark. */
function areaMarker({ settings, shape, side, shaped, stage }: SceneParts): MarkerItem[] {
  const area = shape?.areas.find((one) => one.name === settings.area);
  if (area === undefined || (stage !== "shape" && stage !== "prove")) {
    return [];
  }
  return [
    {
      id: `area:${area.name}`,
      label: named(area.name),
      at: shaped?.at ?? toPatient(area.centre_mm, side),
      look: "sure",
      selected: true,
      movable: true,
    },
  ];
}

/** What was felt at the open fitting, where it was felt; only where fittings are worked on. */
function complaintMarkers(parts: SceneParts): MarkerItem[] {
  const { fit, side, stage, settings, fittings, fitting } = parts;
  const answers = fit?.answers ?? [];
  const complaints = fittings[fitting]?.complaints ?? [];
  return stage !== "fit"
    ? []
    : answers
        .filter((answer) => answer.fitting === fitting && answer.point_mm !== null)
        .map((answer) => ({
          id: `complaint:${answer.complaint.toString()}`,
          label: `${named(answer.sign)}, ${answer.phase}`,
          at: toPatient(answer.point_mm ?? [0, 0, 0], side),
          look: "guess" as const,
          selected: settings.felt === answer.complaint,
          // One that a landmark names goes with the landmark.
          movable: (complaints[answer.complaint]?.point ?? null) !== null,
        }));
}

/** Where the leg is used up most, shown with what is made: model or coupling. */
function weakestMarker({ proof, side, view }: SceneParts): MarkerItem[] {
  const weakest = proof?.strength_detail?.weakest;
  const at = weakest?.point_mm;
  if (!view.layers.has("model") || weakest === undefined || weakest === null || !at) {
    return [];
  }
  return [
    {
      id: "weakest",
      label: `Weakest: ${weakest.place}, ${Math.round(100 * weakest.share).toString()} % used`,
      at: toPatient(at, side),
      look: "joint",
      selected: false,
      movable: false,
    },
  ];
}

/** Straight down from the socket's centre at the datum to the level of the sole, as on the bench. */
function plumbLine({ points_mm, up }: Alignment, side: Side): Float32Array | null {
  const { datum, sole_centre: sole } = points_mm;
  if (datum === undefined || sole === undefined) {
    return null;
  }
  const drop = up.reduce((sum, part, k) => sum + part * ((datum[k] ?? 0) - (sole[k] ?? 0)), 0);
  const foot = [0, 1, 2].map((k) => (datum[k] ?? 0) - drop * (up[k] ?? 0)) as unknown as Triple;
  return new Float32Array([...toPatient(datum, side), ...toPatient(foot, side)]);
}

const JOINTS = ["socket_adapter", "foot_adapter", "ankle", "heel", "toe"] as const;

function jointMarkers({ view, alignment, side }: SceneParts): MarkerItem[] {
  if (!view.layers.has("leg") || alignment === null) {
    return [];
  }
  return JOINTS.flatMap((name) => {
    const at = alignment.points_mm[name];
    return at === undefined
      ? []
      : [
          {
            id: `joint:${name}`,
            label: named(name),
            at: toPatient(at, side),
            look: "joint" as const,
            selected: false,
            movable: false,
          },
        ];
  });
}
