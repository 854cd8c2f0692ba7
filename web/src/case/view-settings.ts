/** Which layers are shown and what the colours mean; each stage begins with what it needs. */

import type { FitPhase, FitSign, Point } from "../api/document";
import type { StageName } from "../api/results";
import { areaArray, pressureArray } from "../state/array-names";
import type { Triple } from "../viewer/scene";

export const LAYERS = [
  { name: "skin", label: "Skin" },
  { name: "shape", label: "Rectified shape" },
  { name: "bones", label: "Bones" },
  { name: "model", label: "Socket, inside" },
  { name: "outside", label: "Socket, outside" },
  { name: "trim", label: "Trim line" },
  { name: "coupling", label: "Coupling" },
  { name: "made", label: "Socket as made" },
  { name: "positive", label: "Positive as made" },
  { name: "leg", label: "Leg line" },
  { name: "landmarks", label: "Landmarks" },
  { name: "balance", label: "Balance" },
  { name: "before", label: "Before" },
] as const;

/** Layers that only one stage shows. */
export const ONLY_IN: Readonly<Record<string, string>> = { balance: "shape", before: "shape" };

export type LayerName = (typeof LAYERS)[number]["name"];

export type Colouring =
  | "plain"
  | "depth"
  | "pressure"
  | "share"
  | "change"
  | "wall"
  | "cover"
  | "thickness";

export const COLOURINGS: readonly { readonly value: Colouring; readonly label: string }[] = [
  { value: "plain", label: "Nothing" },
  { value: "depth", label: "Depth" },
  { value: "pressure", label: "Pressure" },
  { value: "share", label: "Share of limit" },
  { value: "change", label: "Change" },
  { value: "wall", label: "Wall use" },
  { value: "cover", label: "Cover over bone" },
  { value: "thickness", label: "Wall as made" },
];

export interface StageView {
  readonly layers: ReadonlySet<LayerName>;
  readonly colouring: Colouring;
}

export interface ViewSettings {
  readonly byStage: Readonly<Record<string, StageView>>;
  readonly loadCase: string;
  readonly area: string | null;
  readonly landmark: string | null;
  /** Name of the landmark that the next touch of the limb places. */
  readonly picking: string | null;
  /** Number of the fitting that is open; null for the last one. */
  readonly fitting: number | null;
  /** The complaint of the open fitting, or that being told, which the next touch places. */
  readonly complaint: number | "draft" | null;
  /** By the number of its fitting, a complaint that is not told whole yet, and so not stored. */
  readonly drafts: Drafts;
  /** Level of the cross-section shown, mm below the mid-patellar tendon; null when none is. */
  readonly sectionMm: number | null;
  /** Revision that a change of pressure is shown against; null until one is chosen. */
  readonly against: number | null;
  /** Points touched for measuring, at most two, in the patient's frame; null when not measuring. */
  readonly measured: readonly Triple[] | null;
  /** Control point of the trim line that keys act on. */
  readonly trim: TrimName | null;
  /** Number of the touched complaint of the last fitting that keys act on. */
  readonly felt: number | null;
  /** Whether the step pad is shown; null leaves it to the pointer: a finger needs it. */
  readonly pad: boolean | null;
  /** A person is on the way to the block that confirms; it takes the focus once it is shown. */
  readonly toConfirm: boolean;
}

/** A control point of the trim line: a side, or the number of a further one. */
export type TrimName = "anterior" | "medial" | "lateral" | "posterior" | `extra${number}`;

export type Drafts = Readonly<Record<string, ComplaintDraft>>;

/** Null is what nobody said yet. */
export interface ComplaintDraft {
  readonly sign: FitSign | null;
  readonly phase: FitPhase | null;
  readonly landmark: string | null;
  readonly point: Point | null;
  /** Felt of the whole socket. */
  readonly whole: boolean;
}

export const INITIAL_VIEW: ViewSettings = {
  byStage: {},
  loadCase: "standing",
  area: null,
  landmark: null,
  picking: null,
  fitting: null,
  complaint: null,
  drafts: {},
  sectionMm: null,
  against: null,
  measured: null,
  trim: null,
  felt: null,
  pad: null,
  toConfirm: false,
};

const view = (colouring: Colouring, ...layers: LayerName[]): StageView => ({
  layers: new Set(layers),
  colouring,
});

/** Where revisions stand side by side, seen in a way of its own as each stage is. */
export const SIDE_BY_SIDE = "revisions";

const FIRST_VIEWS: Readonly<Record<StageName | typeof SIDE_BY_SIDE, StageView>> = {
  assess: view("plain", "skin"),
  capture: view("plain", "skin", "landmarks"),
  shape: view("depth", "shape", "trim", "balance"),
  couple: view("plain", "skin", "model", "coupling"),
  align: view("plain", "model", "coupling", "leg"),
  prove: view("pressure", "skin", "trim"),
  make: view("plain", "made", "model", "coupling"),
  fit: view("pressure", "skin", "trim"),
  revisions: view("pressure", "skin", "trim"),
};

/** One thing selected in the picture, and nothing else. */
export function withSelected(
  settings: ViewSettings,
  part: Partial<Pick<ViewSettings, "area" | "landmark" | "trim" | "felt">>,
): ViewSettings {
  return { ...settings, area: null, landmark: null, trim: null, felt: null, ...part };
}

/** The fitting that is open among so many; −1 where there is none. */
export function openFitting({ fitting }: ViewSettings, count: number): number {
  return fitting !== null && fitting < count ? fitting : count - 1;
}

/** A complaint of a fitting as far as it is told; null when it is stored or given up. */
export function withDraft(
  settings: ViewSettings,
  fitting: number,
  draft: ComplaintDraft | null,
): ViewSettings {
  const { [fitting.toString()]: old, ...others } = settings.drafts;
  return draft === null
    ? { ...settings, drafts: others, complaint: null }
    : { ...settings, drafts: { ...others, [fitting.toString()]: draft } };
}

/** The settings once a fitting is gone: those after it count one less. */
export function withoutFitting(settings: ViewSettings, fitting: number): ViewSettings {
  const drafts = Object.entries(settings.drafts).flatMap(([key, draft]) => {
    const number = Number(key);
    return number === fitting ? [] : [[number > fitting ? number - 1 : number, draft] as const];
  });
  return { ...settings, fitting: null, complaint: null, drafts: Object.fromEntries(drafts) };
}

/** Measuring begun, or given up. */
export function withMeasuring(settings: ViewSettings): ViewSettings {
  return { ...settings, measured: settings.measured === null ? [] : null, picking: null };
}

/** The two ends of a distance: a third touch begins anew. */
export function withTouched(settings: ViewSettings, at: Triple): ViewSettings {
  const { measured } = settings;
  return measured === null
    ? settings
    : { ...settings, measured: measured.length < 2 ? [...measured, at] : [at] };
}

/** How a stage is seen now: as a person set it, or as it begins. */
export function stageView(settings: ViewSettings, stage: string): StageView {
  return (
    settings.byStage[stage] ??
    FIRST_VIEWS[stage as keyof typeof FIRST_VIEWS] ??
    view("plain", "skin")
  );
}

export function withLayer(settings: ViewSettings, stage: string, layer: LayerName): ViewSettings {
  const now = stageView(settings, stage);
  const layers = new Set(now.layers);
  if (!layers.delete(layer)) {
    layers.add(layer);
  }
  return { ...settings, byStage: { ...settings.byStage, [stage]: { ...now, layers } } };
}

/** The cross-section opened where most sockets bear, or closed again. */
export function withSection(settings: ViewSettings): ViewSettings {
  return { ...settings, sectionMm: settings.sectionMm === null ? FIRST_SECTION_MM : null };
}

const FIRST_SECTION_MM = 40;

export function withColouring(
  settings: ViewSettings,
  stage: string,
  colouring: Colouring,
): ViewSettings {
  const now = stageView(settings, stage);
  return { ...settings, byStage: { ...settings.byStage, [stage]: { ...now, colouring } } };
}

/** The arrays that a picture needs. */
export function arraysFor(
  settings: ViewSettings,
  stage: string,
  areas: readonly string[],
): Set<string> {
  const { layers, colouring } = stageView(settings, stage);
  const names = new Set<string>();
  const need = (...more: string[]): void => {
    for (const name of more) {
      names.add(name);
    }
  };
  if (layers.has("skin") || layers.has("landmarks")) {
    need("limb.positions", "limb.faces");
  }
  if (layers.has("shape")) {
    need("rectified.positions", "limb.faces");
  }
  if (layers.has("bones")) {
    need("tibia.positions", "tibia.faces", "fibula.positions", "fibula.faces");
  }
  if (layers.has("model")) {
    need("model.positions", "model.faces");
  }
  if (layers.has("outside")) {
    need("outside.positions", "model.faces");
  }
  if (layers.has("trim")) {
    need("trim.positions");
  }
  if (layers.has("coupling")) {
    need("coupling.positions", "coupling.faces");
  }
  for (const made of ["made", "positive"] as const) {
    if (layers.has(made)) {
      need(`${made}.positions`, `${made}.faces`);
    }
  }
  if (layers.has("leg")) {
    need("leg.positions");
  }
  if (colouring === "depth") {
    need("displacement");
  }
  if (colouring === "pressure" || colouring === "change") {
    need(pressureArray(settings.loadCase));
  }
  if (colouring === "cover") {
    need("cover.mm");
  }
  if (colouring === "thickness") {
    need("made.wall_mm");
  }
  if (colouring === "wall") {
    need("strength.share");
  }
  // Where areas are worked on they are touched and outlined whatever the colours mean.
  if (colouring !== "plain" || stage === "shape") {
    need(...areas.map(areaArray));
  }
  if (stage === "shape") {
    // What an edit does to pressure is told there, whatever is coloured.
    need("displacement", pressureArray(settings.loadCase));
  }
  return names;
}

/** Whether a colouring belongs to one load case. */
export function isUnderLoad(colouring: Colouring): boolean {
  return colouring === "pressure" || colouring === "share" || colouring === "change";
}
