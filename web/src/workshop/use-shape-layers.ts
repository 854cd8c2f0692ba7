import { useMemo } from "react";
import type { ArraySet } from "../api/client";
import type { Point } from "../api/document";
import { useDocument } from "../case/case-context";
import type { StageView } from "../case/view-settings";
import { useUnits } from "../units/units-context";
import type { LimbViewer } from "../viewer/limb-viewer";
import type { LineItem, MarkerItem } from "../viewer/scene";
import { named } from "../words/words";
import { poseAt, pushArrow, pushWords } from "./balance";
import { useBefore } from "./before-context";
import { isoLines } from "./iso-lines";
import { fromPatient, toPatient } from "./patient-frame";
import { useLivePressure } from "./use-live-pressure";

export interface ShapeLayers {
  readonly lines: readonly LineItem[];
  readonly markers: readonly MarkerItem[];
}

const NOTHING: ShapeLayers = { lines: [], markers: [] };
const RING_MM = 20;
/** The two arrows stand apart, in the middle of the socket. */
const ARROW_APART_MM = 9;

/** What Shape shows beside the socket: where the limb is pushed, and the socket as it was. */
export function useShapeLayers(
  viewer: LimbViewer | null,
  arrays: ArraySet,
  stage: string,
  view: StageView,
): ShapeLayers {
  const ghost = useGhost(arrays, stage === "shape" && view.layers.has("before"));
  const balance = useBalanceArrows(viewer, stage === "shape" && view.layers.has("balance"));
  return useMemo(
    () => ({ lines: [...ghost, ...balance.lines], markers: balance.markers }),
    [ghost, balance],
  );
}

/** The earlier socket as rings of level and two profiles. */
function useGhost(arrays: ArraySet, wanted: boolean): readonly LineItem[] {
  const { before } = useBefore();
  const faces = arrays.get("limb.faces");
  return useMemo(() => {
    if (!wanted || before === null || !(faces instanceof Uint32Array)) {
      return [];
    }
    const { positions } = before;
    if (!facesFit(faces, positions)) {
      return [];
    }
    const part = (k: 0 | 1 | 2) => (i: number) => positions[i * 3 + k] ?? 0;
    const heights = Array.from({ length: positions.length / 3 }, (_, i) => part(2)(i));
    const [low, high] = heights.reduce(
      ([least, most], z) => [Math.min(least, z), Math.max(most, z)] as const,
      [0, 0] as readonly [number, number],
    );
    const levels: number[] = [];
    for (let z = Math.ceil(low / RING_MM) * RING_MM; z < high; z += RING_MM) {
      levels.push(z);
    }
    const surface = { positions, faces };
    return [
      ...levels.flatMap((z) => isoLines(surface, part(2), z)),
      ...isoLines(surface, part(0), 0),
      ...isoLines(surface, part(1), 0),
    ].map((line, i) => ({
      id: `ghost:${i.toString()}`,
      positions: line.positions,
      closed: line.closed,
      finish: "ghost" as const,
      widthPx: 1.6,
    }));
  }, [before, faces, wanted]);
}

function facesFit(faces: Uint32Array, positions: Float32Array): boolean {
  return faces.every((corner) => corner * 3 < positions.length);
}

/** Where the limb goes in the socket, donned and under the load in view. */
function useBalanceArrows(viewer: LimbViewer | null, wanted: boolean): ShapeLayers {
  const { shown, donned, middle } = useLivePressure();
  const { side } = useDocument().person;
  const { text } = useUnits();
  return useMemo(() => {
    if (!wanted || viewer === null) {
      return NOTHING;
    }
    const cases = [donned, shown?.load_case === "donned" ? null : shown];
    const onSkin = (at: Point): Point => fromPatient(viewer.onSurface(toPatient(at, side)), side);
    const arrows = cases.flatMap((one, i) => {
      const pose = one && poseAt(one.pose, middle);
      const arrow = pose && pushArrow(pose, middle[2] - i * ARROW_APART_MM, onSkin);
      return one && pose && arrow ? [{ name: one.load_case, pose, arrow, i }] : [];
    });
    return {
      lines: arrows.map(({ name, arrow, i }) => ({
        id: `push:${name}`,
        positions: new Float32Array(arrow.points.flatMap((at) => toPatient(at, side))),
        closed: false,
        finish: "push" as const,
        widthPx: i === 0 ? 2 : 4,
      })),
      markers: arrows.map(({ name, pose, arrow }) => ({
        id: `push:${name}`,
        label: `${named(name)}: ${pushWords(pose, text)}`,
        at: toPatient(arrow.tip, side),
        look: "sure" as const,
        selected: false,
        movable: false,
      })),
    };
  }, [wanted, viewer, donned, shown, middle, side, text]);
}
