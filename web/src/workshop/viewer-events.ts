import { type RefObject, useRef } from "react";
import type { ArraySet } from "../api/client";
import type { AreaPlan, Point, TrimPlan } from "../api/document";
import type { PlacedArea } from "../api/results";
import { useCaseState, useDocument, useSession } from "../case/case-context";
import { useService } from "../case/service-context";
import { useView } from "../case/view-context";
import {
  openFitting,
  type TrimName,
  withDraft,
  withSelected,
  withTouched,
} from "../case/view-settings";
import type { ViewerEvents } from "../viewer/limb-viewer";
import type { Reading, Triple } from "../viewer/scene";
import { areaAt } from "./painting";
import { fromPatient } from "./patient-frame";
import { hideReadout, placeReadout } from "./readout";
import { SECTION_GRIP } from "./scene-builder";
import { levelWithin } from "./section-panel";
import { movedTrim } from "./trim-points";
import { useShapingEvents } from "./use-area-shaping";
import { useResults } from "./use-viewer";

interface EventParts {
  readonly readout: RefObject<HTMLDivElement | null>;
  readonly readingText: (reading: Reading) => string[];
  readonly arrays: ArraySet;
  readonly areas: readonly string[];
  /** Where the selected area's mark stands. */
  readonly markAt: RefObject<Triple | null>;
  /** A landmark is held at a place; null puts it back. */
  readonly onHeld: (landmark: string, at: Triple | null) => void;
  readonly onView: (seen: string) => void;
}

/** What pointer and markers do: read values, select, place and move landmarks. */
export function useViewerEvents(parts: EventParts): ViewerEvents {
  const session = useSession();
  const { settings, setSettings } = useView();
  const { readout, readingText, arrays, areas, onView } = parts;
  const { side } = useDocument().person;
  const { onMarkDropped, ...shaping } = useShapingEvents(parts.markAt);
  const previewTrim = useTrimPreview();
  const changeTrim = useTrimChange();
  const placeComplaint = useComplaintPlacing();

  const section = useSectionGrip();

  const place = (name: string, at: Triple): void => {
    session.placeLandmark(name, at);
    setSettings((now) => ({ ...now, picking: null, landmark: name }));
  };

  return {
    // Written straight to the page: the pointer moves too often to render for it.
    onReading: (reading, x, y, finger) => {
      const box = readout.current;
      if (box === null) {
        return;
      }
      box.hidden = reading === null;
      if (reading !== null) {
        box.textContent = readingText(reading).join("\n");
        placeReadout(box, { x, y }, finger);
      }
    },
    onTouch: (reading) => {
      if (settings.measured !== null || settings.complaint !== null || settings.picking !== null) {
        // The touch was an answer: what a finger read there would only cover what it put there.
        hideReadout(readout.current);
      }
      if (settings.measured !== null) {
        setSettings((now) => withTouched(now, reading.point));
        return;
      }
      if (settings.complaint !== null) {
        placeComplaint(settings.complaint, reading.point);
        setSettings((now) => ({ ...now, complaint: null }));
        return;
      }
      if (settings.picking !== null) {
        place(settings.picking, reading.point);
        return;
      }
      if (reading.item === "made") {
        return;
      }
      const area = areaAt(arrays, areas, reading.vertex);
      setSettings((now) => withSelected(now, { area }));
    },
    onMarker: (id) => {
      if (id === SECTION_GRIP) {
        // With nothing selected, keys and step pad move the section.
        setSettings((now) => withSelected(now, {}));
        return;
      }
      const landmark = landmarkOf(id);
      if (landmark !== null) {
        setSettings((now) => ({ ...now, landmark, trim: null, felt: null }));
      }
      const trim = trimOf(id);
      if (trim !== null) {
        setSettings((now) => withSelected(now, { trim }));
      }
      const felt = complaintOf(id);
      if (felt !== null) {
        setSettings((now) => withSelected(now, { felt }));
      }
    },
    onMarkerMoved: (id, at) => {
      if (id === SECTION_GRIP) {
        section.to(at);
        section.end();
        return;
      }
      const trim = trimOf(id);
      if (trim !== null) {
        const [x, y, z] = fromPatient(at, side);
        changeTrim(
          (plan) => movedTrim(plan, trim, z, (Math.atan2(y, x) * 180) / Math.PI),
          previewTrim.end(),
        );
        setSettings((now) => withSelected(now, { trim }));
        return;
      }
      const felt = complaintOf(id);
      if (felt !== null) {
        placeComplaint(felt, at);
        setSettings((now) => withSelected(now, { felt }));
        return;
      }
      if (onMarkDropped(id, at)) {
        return;
      }
      const landmark = landmarkOf(id);
      if (landmark !== null) {
        place(landmark, at);
      }
    },
    ...shaping,
    onMarkerPreview: (id, at) => {
      if (id === SECTION_GRIP) {
        if (at === null) {
          section.giveUp();
        } else {
          section.to(at);
        }
        return;
      }
      const landmark = landmarkOf(id);
      if (landmark !== null) {
        parts.onHeld(landmark, at);
        return;
      }
      const trim = trimOf(id);
      if (trim === null) {
        shaping.onMarkerPreview(id, at);
      } else {
        previewTrim(trim, at);
      }
    },
    onView,
  };
}

/** The plane of the cross-section while it is dragged: the drawing follows; Escape puts it back. */
function useSectionGrip() {
  const { settings, setSettings } = useView();
  const limb = useResults("capture");
  const begun = useRef<number | null>(null);
  const put = (level: number): void =>
    setSettings((now) => ({ ...withSelected(now, {}), sectionMm: level }));
  return {
    to: (at: Triple): void => {
      begun.current ??= settings.sectionMm;
      put(levelWithin(limb, Math.round(-at[2])));
    },
    end: (): void => {
      begun.current = null;
    },
    giveUp: (): void => {
      if (begun.current !== null) {
        put(begun.current);
      }
      begun.current = null;
    },
  };
}

/** Puts a complaint of the open fitting, or the one being told, where the limb was touched. */
export function useComplaintPlacing(): (which: number | "draft", at: Triple) => void {
  const session = useSession();
  const service = useService();
  const { id } = useCaseState();
  const { settings, setSettings } = useView();
  const { fit } = useDocument();
  const move = (index: number, point: Point): void =>
    session.edit("fit", (document) => ({
      ...document,
      fit: {
        fittings: document.fit.fittings.map((fitting, i, all) =>
          i !== openFitting(settings, all.length)
            ? fitting
            : {
                ...fitting,
                complaints: fitting.complaints.map((one, k) =>
                  k === index ? { ...one, landmark: null, point } : one,
                ),
              },
        ),
      },
    }));
  const tell = (point: Point): void =>
    setSettings((now) => {
      const number = openFitting(now, fit.fittings.length);
      const draft = now.drafts[number];
      return draft
        ? withDraft(now, number, { ...draft, landmark: null, point, whole: false })
        : now;
    });
  return (which, at) => {
    service
      .touched(id, at)
      .then((point) => (which === "draft" ? tell(point) : move(which, point)))
      // The place is given up; the hint stays away and the complaint keeps what it had.
      .catch(() => undefined);
  };
}

/** How a placed area's plan is changed from the picture; nothing while there is no shape. */
export function useAreaChange(): (
  name: string | null,
  change: (area: AreaPlan, placed: PlacedArea) => AreaPlan,
) => void {
  const session = useSession();
  const shape = useResults("shape");
  return (name, change) => {
    const placed = shape?.areas.find((one) => one.name === name);
    if (placed !== undefined) {
      session.edit("shape", (document) => ({
        ...document,
        shape: {
          ...document.shape,
          areas: document.shape.areas.map((one) => (one.name === name ? change(one, placed) : one)),
        },
      }));
    }
  };
}

/** How the trim line's plan is changed from the picture. */
export function useTrimChange(): (
  change: (trim: TrimPlan) => TrimPlan,
  gesture?: string | null,
) => void {
  const session = useSession();
  return (change, gesture = null) =>
    session.edit(
      "shape",
      (document) => ({
        ...document,
        shape: { ...document.shape, trim: change(document.shape.trim) },
      }),
      gesture,
    );
}

type TrimPreview = ((name: TrimName, at: Triple | null) => void) & {
  /** The drag is over; its gesture, for the last edit of it. */
  readonly end: () => string | null;
};

/** The trim line's point while it is dragged: its height and what it is read against follow. */
function useTrimPreview(): TrimPreview {
  const changeTrim = useTrimChange();
  const { side } = useDocument().person;
  const { trim } = useDocument().shape;
  const { setSettings } = useView();
  const begun = useRef<{ gesture: string; trim: TrimPlan } | null>(null);
  const drags = useRef(0);
  const preview = (name: TrimName, at: Triple | null): void => {
    if (at === null) {
      const base = begun.current;
      begun.current = null;
      if (base !== null) {
        changeTrim(() => base.trim, base.gesture);
      }
      return;
    }
    if (begun.current === null) {
      drags.current += 1;
      begun.current = { gesture: `trim ${drags.current.toString()}`, trim };
      setSettings((now) => withSelected(now, { trim: name }));
    }
    const { gesture } = begun.current;
    const [x, y, z] = fromPatient(at, side);
    changeTrim((plan) => movedTrim(plan, name, z, (Math.atan2(y, x) * 180) / Math.PI), gesture);
  };
  const end = (): string | null => {
    const { gesture } = begun.current ?? { gesture: null };
    begun.current = null;
    return gesture;
  };
  return Object.assign(preview, { end });
}

export function landmarkOf(marker: string): string | null {
  return marker.startsWith("landmark:") ? marker.slice("landmark:".length) : null;
}

export function trimOf(marker: string): TrimName | null {
  return marker.startsWith("trim:") ? (marker.slice("trim:".length) as TrimName) : null;
}

export function complaintOf(marker: string): number | null {
  return marker.startsWith("complaint:") ? Number(marker.slice("complaint:".length)) : null;
}
