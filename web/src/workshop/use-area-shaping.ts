import { type RefObject, useMemo, useRef } from "react";
import type { ArraySet } from "../api/client";
import type { AreaPlan, CaseDocument, Point } from "../api/document";
import type { PlacedArea } from "../api/results";
import { useDocument, useInfo, useSession } from "../case/case-context";
import { useView } from "../case/view-context";
import { areaArray } from "../state/array-names";
import { useUnits } from "../units/units-context";
import type { LimbViewer, ViewerEvents } from "../viewer/limb-viewer";
import type { HandleItem, LineItem, Triple } from "../viewer/scene";
import { named } from "../words/words";
import {
  depthDragged,
  EDGES,
  type EdgeName,
  edgeDragged,
  edgePoint,
  edgeWords,
  isLengthwise,
  type Outline,
  outlineOf,
  outOf,
  reshaped,
  reshaping,
  type Usual,
} from "./area-edges";
import { isoLines } from "./iso-lines";
import { DEEPEST_MM, LONGEST_MM, movedArea } from "./moving-areas";
import { floats, IN_AREA } from "./painting";
import { fromPatient, toPatient } from "./patient-frame";
import { useResults } from "./use-viewer";

/** What the selected area shows in the picture beside its mark. */
export interface ShapedArea {
  readonly name: string;
  readonly lines: readonly LineItem[];
  readonly handles: readonly HandleItem[];
  /** Where its mark stands, with edits that no results know yet. */
  readonly at: Triple;
}

type ShapingEvents = Required<
  Pick<ViewerEvents, "onMarkerPreview" | "onHandle" | "onHandleGivenUp" | "onHandleStepped">
> & {
  /** The mark of an area was let go; false when it was none. */
  readonly onMarkDropped: (id: string, at: Triple) => boolean;
};

const DEPTH = "depth";
const STALK_PX = 34;
const PX_PER_MM = 8;
const STEP_MM = 1;
const DEPTH_STEP_MM = 0.5;

/** The selected area's outline and handles, by the last results and the edits since. */
export function useShapedArea(
  viewer: LimbViewer | null,
  arrays: ArraySet,
  stage: string,
): ShapedArea | null {
  const session = useSession();
  const document = useDocument();
  const { side } = document.person;
  const { settings } = useView();
  const { areas } = useInfo();
  const { text } = useUnits();
  const name = stage === "shape" ? settings.area : null;
  const placed = useResults("shape")?.areas.find((one) => one.name === name);
  const plan = planOf(document, name);
  const before = planOf(session.arraysOf(), name);
  const drawn = useMemo(
    () => (name === null ? null : outlineIn(arrays, name, (at) => fromPatient(at, side))),
    [arrays, name, side],
  );
  return useMemo(() => {
    if (drawn === null || placed === undefined || plan === null || before === null) {
      return null;
    }
    const usual = usualOf(placed);
    const onSkin = (at: Point): Point =>
      viewer === null ? at : fromPatient(viewer.onSurface(toPatient(at, side)), side);
    const by = reshaping(before, plan, usual);
    const outline = reshaped(drawn, by, onSkin);
    const loads = areas.find((one) => one.name === placed.name)?.loads ?? false;
    const words = { title: named(placed.name), loads, text };
    return {
      name: placed.name,
      lines: linesOf(outline, (at) => toPatient(at, side)),
      handles: handlesOf(outline, plan, usual, words).map((one) => ({
        ...one,
        at: toPatient(one.at, side),
      })),
      at: toPatient(onSkin(outline.middle), side),
    };
  }, [drawn, placed, plan, before, viewer, side, areas, text]);
}

/** What dragging the outline, its handles and its mark does to the plan: one step a drag. */
export function useShapingEvents(markAt: RefObject<Triple | null>): ShapingEvents {
  const session = useSession();
  const { areas } = useInfo();
  const { side } = useDocument().person;
  const shape = useResults("shape");
  const { settings } = useView();
  /** The plan that a drag began with, and where it began. */
  const begun = useRef<{ gesture: string; plan: AreaPlan; from: Point | null } | null>(null);
  const marks = useRef(0);

  const change = (name: string | null, to: (now: AreaPlan) => AreaPlan, gesture?: string): void => {
    if (name !== null) {
      session.edit("shape", (document) => withPlan(document, name, to), gesture ?? null);
    }
  };
  const start = (name: string, gesture: string, from: Point | null): AreaPlan | null => {
    if (begun.current?.gesture !== gesture) {
      const plan = planOf(session.snapshot().document, name);
      begun.current = plan && { gesture, plan, from };
    }
    return begun.current?.plan ?? null;
  };
  const drag = (id: string, base: AreaPlan, out: number, usual: Usual): AreaPlan =>
    id === DEPTH
      ? depthDragged(base, out, areas.find((one) => one.name === base.name)?.loads ?? false)
      : edgeDragged(base, usual, id as EdgeName, out);
  const usual = shape?.areas.find((one) => one.name === settings.area);

  return {
    onHandle: (id, { from, to, awayPx }, gesture) => {
      const name = settings.area;
      const base = name === null ? null : start(name, gesture, null);
      if (base === null || usual === undefined) {
        return;
      }
      const out =
        id === DEPTH
          ? awayPx / PX_PER_MM
          : outward(id as EdgeName, from && fromPatient(from, side), to && fromPatient(to, side));
      if (out !== null) {
        change(name, () => drag(id, base, out, usualOf(usual)), gesture);
      }
    },
    onHandleGivenUp: (_, gesture) => {
      const base = begun.current;
      if (base?.gesture === gesture) {
        change(base.plan.name, () => base.plan, gesture);
        begun.current = null;
      }
    },
    onHandleStepped: (id, steps) => {
      if (usual !== undefined) {
        const by = steps * (id === DEPTH ? DEPTH_STEP_MM : STEP_MM);
        change(settings.area, (now) => drag(id, now, by, usualOf(usual)));
      }
    },
    onMarkerPreview: (id, at) => {
      const name = areaOf(id);
      if (name === null) {
        return;
      }
      if (at === null) {
        const base = begun.current;
        if (base !== null && base.plan.name === name) {
          change(name, () => base.plan, base.gesture);
          begun.current = null;
        }
        return;
      }
      if (begun.current === null || begun.current.from === null) {
        marks.current += 1;
      }
      const gesture = `${id} ${marks.current.toString()}`;
      const here = fromPatient(at, side);
      const base = start(name, gesture, fromPatient(markAt.current ?? at, side));
      const from = begun.current?.from;
      if (base !== null && from) {
        change(name, () => movedArea(base, from, here), gesture);
      }
    },
    onMarkDropped: (id) => {
      begun.current = null;
      return areaOf(id) !== null;
    },
  };
}

/** How far an edge was dragged away from the area's middle, mm along the limb or around it. */
function outward(edge: EdgeName, from: Point | null, to: Point | null): number | null {
  return from === null || to === null ? null : outOf(edge, to, from);
}

function outlineIn(arrays: ArraySet, name: string, toLimb: (at: Point) => Point): Outline | null {
  const positions = floats(arrays, "rectified.positions") ?? floats(arrays, "limb.positions");
  const faces = arrays.get("limb.faces");
  const weights = floats(arrays, areaArray(name));
  if (positions === null || weights === null || !(faces instanceof Uint32Array)) {
    return null;
  }
  const lines = isoLines({ positions, faces }, (i) => weights[i] ?? 0, IN_AREA);
  return outlineOf(lines, toLimb);
}

function linesOf({ lines }: Outline, toPicture: (at: Point) => Triple): LineItem[] {
  return lines.map(({ points, closed }, i) => ({
    id: `edge:${i.toString()}`,
    positions: new Float32Array(points.flatMap((at) => toPicture(at))),
    closed,
    finish: "edge",
    widthPx: 3,
  }));
}

interface HandleWords {
  readonly title: string;
  readonly loads: boolean;
  readonly text: (value: number, unit: string, digits?: number) => string;
}

function handlesOf(
  outline: Outline,
  plan: AreaPlan,
  usual: Usual,
  { title, loads, text }: HandleWords,
): HandleItem[] {
  const edges = EDGES.map((edge): HandleItem => {
    const lengthwise = isLengthwise(edge);
    const now = lengthwise
      ? (plan.length_mm ?? usual.length_mm)
      : (plan.width_mm ?? usual.width_mm);
    return {
      id: edge,
      label: `${title}: ${edgeWords(outline, edge)}`,
      value: `${lengthwise ? "Length" : "Width"} ${text(now, "mm", 1)}`,
      now,
      range: [0, LONGEST_MM],
      at: edgePoint(outline, edge),
      awayPx: 0,
      captioned: false,
    };
  });
  const depth = Math.abs(plan.depth_mm);
  return [
    ...edges,
    {
      id: DEPTH,
      label: `${title}: depth`,
      value: `${text(depth, "mm", 1)} ${loads ? "pressed in" : "space added"}`,
      now: depth,
      range: [0, DEEPEST_MM],
      at: outline.middle,
      awayPx: STALK_PX + PX_PER_MM * depth,
      captioned: true,
    },
  ];
}

function usualOf({ length_mm, width_mm, blend_mm }: PlacedArea): Usual {
  return { length_mm, width_mm, blend_mm };
}

function planOf(document: CaseDocument | null, name: string | null): AreaPlan | null {
  return document?.shape.areas.find((one) => one.name === name) ?? null;
}

function withPlan(
  document: CaseDocument,
  name: string,
  to: (now: AreaPlan) => AreaPlan,
): CaseDocument {
  const areas = document.shape.areas.map((one) => (one.name === name ? to(one) : one));
  return { ...document, shape: { ...document.shape, areas } };
}

export function areaOf(marker: string): string | null {
  return marker.startsWith("area:") ? marker.slice("area:".length) : null;
}
