import { useEffect, useRef } from "react";
import type { Point } from "../api/document";
import type { Limb } from "../api/results";
import type { LimbViewer } from "../viewer/limb-viewer";
import { useDocument, useInfo, useSession } from "./case-context";
import { deepenedArea, movedArea, stretchedArea } from "./moving-areas";
import { fromPatient, toPatient } from "./patient-frame";
import { movedTrim, trimControls } from "./trim-points";
import { useView } from "./view-context";
import { useAreaChange, useTrimChange } from "./viewer-events";

const NUDGE_MM = 1;
const STRETCH_MM = 2;
const DEEPEN_MM = 0.5;
/** A landmark is placed once no key has followed for this long: every placing captures anew. */
const REST_MS = 500;

const WAYS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

/**
 * What keys with Shift do to what is selected in the picture: arrows move a landmark or an area,
 * with Alt they stretch the area, Page Up and Page Down deepen and flatten it.
 */
export function usePictureKeys(viewer: LimbViewer | null, limb: Limb | null) {
  const session = useSession();
  const { settings } = useView();
  const { side } = useDocument().person;
  const { areas } = useInfo();
  const changeArea = useAreaChange();
  const changeTrim = useTrimChange();
  const pending = useRef<{ name: string; at: Point; timer: ReturnType<typeof setTimeout> } | null>(
    null,
  );
  useEffect(() => () => clearTimeout(pending.current?.timer), []);

  const nudgeLandmark = (name: string, by: Point): void => {
    const known = limb?.landmarks[name];
    if (viewer === null || known === undefined) {
      return;
    }
    const waiting = pending.current?.name === name ? pending.current : null;
    clearTimeout(pending.current?.timer);
    const at = sum(waiting?.at ?? toPatient(known.point_mm, side), by);
    viewer.previewMarker(`landmark:${name}`, at);
    const timer = setTimeout(() => {
      pending.current = null;
      session.placeLandmark(name, at);
    }, REST_MS);
    pending.current = { name, at, timer };
  };

  /** True when the key meant something for the selected landmark or area. */
  return (event: { key: string; shiftKey: boolean; altKey: boolean }): boolean => {
    const { landmark, area, trim } = settings;
    const way = WAYS[event.key];
    if (viewer === null || !event.shiftKey) {
      return false;
    }
    const nothingElse = landmark === null && area === null;
    if (trim !== null && nothingElse && way !== undefined && way[1] !== 0) {
      changeTrim((plan) => {
        const known = trimControls(plan).find(({ name }) => name === trim);
        return known === undefined
          ? plan
          : movedTrim(plan, trim, known.heightMm + NUDGE_MM * way[1]);
      });
      return true;
    }
    if (nothingElse) {
      return false;
    }
    if (way !== undefined && event.altKey && landmark === null) {
      changeArea(area, (plan, placed) =>
        stretchedArea(plan, STRETCH_MM * way[1], STRETCH_MM * way[0], placed),
      );
      return true;
    }
    if (way !== undefined) {
      const { right, up } = viewer.screenAxes();
      const by = right.map(
        (part, k) => NUDGE_MM * (way[0] * part + way[1] * (up[k] ?? 0)),
      ) as unknown as Point;
      if (landmark !== null) {
        nudgeLandmark(landmark, by);
      } else {
        changeArea(area, (plan, { centre_mm: centre }) =>
          movedArea(plan, centre, sum(centre, fromPatient(by, side))),
        );
      }
      return true;
    }
    if (landmark === null && (event.key === "PageUp" || event.key === "PageDown")) {
      const loads = areas.find((one) => one.name === area)?.loads ?? false;
      const by = event.key === "PageUp" ? DEEPEN_MM : -DEEPEN_MM;
      changeArea(area, (plan) => deepenedArea(plan, by, loads));
      return true;
    }
    return false;
  };
}

function sum(a: Point, b: Point): Point {
  return [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
}
