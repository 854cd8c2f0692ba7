/**
 * What can be done by small steps to what is selected in the picture. The keys and the step pad
 * both go through here, so that they do exactly the same.
 */

import type { AreaPlan, Point } from "../api/document";
import type { Limb, PlacedArea } from "../api/results";
import { useDocument, useInfo, useSession } from "../case/case-context";
import { useView } from "../case/view-context";
import { shownUnit } from "../units/display";
import { shownStep } from "../units/entry";
import { type Units, useUnits } from "../units/units-context";
import type { LimbViewer } from "../viewer/limb-viewer";
import type { MarkerItem, Triple } from "../viewer/scene";
import { levelWords, named } from "../words/words";
import { deepenedArea, movedArea, stretchedArea, turnBetween } from "./moving-areas";
import { fromPatient } from "./patient-frame";
import { levelWithin } from "./section-panel";
import { movedTrim, trimControls } from "./trim-points";
import { areaOf } from "./use-area-shaping";
import { type Placing, usePlacing } from "./use-placing";
import { useResults } from "./use-viewer";
import {
  complaintOf,
  landmarkOf,
  trimOf,
  useAreaChange,
  useComplaintPlacing,
  useTrimChange,
} from "./viewer-events";

const FINE_MM = 1;
const FAR_MM = 5;
const STRETCH_MM = 2;
const DEEPEN_MM = 0.5;

export interface Steps {
  /** Of a move, mm: the fine one, which the keys take, and the far one. */
  readonly move: readonly [number, number];
  readonly stretch: number;
  readonly deepen: number;
}

/** A measure of an area that is made smaller or larger. */
export interface Adjuster {
  readonly name: string;
  readonly value: string;
  readonly less: string;
  readonly more: string;
  /** One step less or more. */
  readonly by: (way: -1 | 1) => void;
}

export interface Handling {
  /** The marker that moves; null when what moves has none. */
  readonly marker: string | null;
  readonly title: string;
  /** Where it is now, in words. */
  readonly place: readonly string[];
  /** Whether it goes sideways as well as up and down. */
  readonly aside: boolean;
  /** Move it on the screen by so many mm to the right and up. */
  readonly move: (right: number, up: number) => void;
  readonly length: Adjuster | null;
  readonly width: Adjuster | null;
  readonly depth: Adjuster | null;
}

/** The steps as round numbers of the unit shown, in mm. */
export function stepsIn({ choice }: Units): Steps {
  const round = (step: number): number =>
    shownStep(step, "mm", choice) * shownUnit("mm", choice).size;
  return {
    move: [round(FINE_MM), round(FAR_MM)],
    stretch: round(STRETCH_MM),
    deepen: round(DEEPEN_MM),
  };
}

/** How the selected thing is handled, and how the last step of it is taken back. */
export function useHandling(
  viewer: LimbViewer | null,
  markers: readonly MarkerItem[],
  limb: Limb | null,
): { readonly handling: Handling | null; readonly placing: Placing } {
  const placing = usePlacing(viewer);
  const area = useAreaHandling(viewer);
  const trim = useTrimHandling(viewer);
  const placed = usePlacedHandling(viewer, placing);
  const section = useSectionHandling(limb);
  const marker = markers.find((one) => one.selected && one.movable);
  const handling =
    marker === undefined ? section : (placed(marker) ?? area(marker) ?? trim(marker));
  return { handling, placing };
}

/** So far on the screen, as a shift in the patient's frame. */
function shift(viewer: LimbViewer, right: number, up: number): Point {
  const axes = viewer.screenAxes();
  const part = (k: 0 | 1 | 2): number => right * axes.right[k] + up * axes.up[k];
  return [part(0), part(1), part(2)];
}

/** Landmarks and touched complaints: the service puts them on the skin. */
function usePlacedHandling(viewer: LimbViewer | null, placing: Placing) {
  const session = useSession();
  const { side } = useDocument().person;
  const placeComplaint = useComplaintPlacing();
  const { text } = useUnits();
  return (marker: MarkerItem): Handling | null => {
    const landmark = landmarkOf(marker.id);
    const complaint = complaintOf(marker.id);
    if (viewer === null || (landmark === null && complaint === null)) {
      return null;
    }
    const place = (at: Point): void => {
      if (landmark !== null) {
        session.placeLandmark(landmark, at);
      } else if (complaint !== null) {
        placeComplaint(complaint, at);
      }
    };
    const now = placing.waiting(marker.id) ?? marker.at;
    return {
      marker: marker.id,
      title: landmark === null ? marker.label : named(landmark),
      place: placeWords(fromPatient(now, side), text),
      aside: true,
      move: (right, up) => placing.step(marker, shift(viewer, right, up), place),
      length: null,
      width: null,
      depth: null,
    };
  };
}

function useAreaHandling(viewer: LimbViewer | null) {
  const { side } = useDocument().person;
  const plans = useDocument().shape.areas;
  const { areas } = useInfo();
  const shape = useResults("shape");
  const proof = useResults("prove");
  const { settings } = useView();
  const change = useAreaChange();
  const units = useUnits();
  return (marker: MarkerItem): Handling | null => {
    const name = areaOf(marker.id);
    const plan = plans.find((one) => one.name === name);
    const placed = shape?.areas.find((one) => one.name === name);
    if (viewer === null || name === null || plan === undefined || placed === undefined) {
      return null;
    }
    const loads = areas.find((one) => one.name === name)?.loads ?? false;
    const peak = proof?.interface.cases
      .find((one) => one.load_case === settings.loadCase)
      ?.areas.find((one) => one.area === name)?.peak_kpa;
    const load = named(settings.loadCase).toLowerCase();
    const under = peak === undefined ? [] : [`peak ${units.text(peak, "kPa")} in ${load}`];
    return {
      marker: marker.id,
      title: named(name),
      place: [movedWords(plan, units.text), ...under],
      aside: true,
      move: (right, up) =>
        change(name, (now, { centre_mm: centre }) =>
          movedArea(now, centre, sum(centre, fromPatient(shift(viewer, right, up), side))),
        ),
      ...adjusters({ plan, placed, loads, units, change: (to) => change(name, to) }),
    };
  };
}

interface AdjusterParts {
  readonly plan: AreaPlan;
  readonly placed: PlacedArea;
  readonly loads: boolean;
  readonly units: Units;
  readonly change: (to: (now: AreaPlan, placed: PlacedArea) => AreaPlan) => void;
}

function adjusters({ plan, placed, loads, units, change }: AdjusterParts) {
  const steps = stepsIn(units);
  const size = (value: number): string => units.text(value, "mm", 1);
  return {
    length: {
      name: "Length",
      value: size(plan.length_mm ?? placed.length_mm),
      less: "Shorter",
      more: "Longer",
      by: (way: -1 | 1) =>
        change((now, usual) => stretchedArea(now, way * steps.stretch, 0, usual)),
    },
    width: {
      name: "Width",
      value: size(plan.width_mm ?? placed.width_mm),
      less: "Narrower",
      more: "Wider",
      by: (way: -1 | 1) =>
        change((now, usual) => stretchedArea(now, 0, way * steps.stretch, usual)),
    },
    depth: {
      name: loads ? "Pressed in" : "Space added",
      value: size(Math.abs(plan.depth_mm)),
      less: "Flatter",
      more: "Deeper",
      by: (way: -1 | 1) => change((now) => deepenedArea(now, way * steps.deepen, loads)),
    },
  };
}

function useTrimHandling(viewer: LimbViewer | null) {
  const plan = useDocument().shape.trim;
  const { side } = useDocument().person;
  const change = useTrimChange();
  const { text } = useUnits();
  return (marker: MarkerItem): Handling | null => {
    const name = trimOf(marker.id);
    const control = trimControls(plan).find((one) => one.name === name);
    if (viewer === null || name === null || control === undefined) {
      return null;
    }
    const aside = name.startsWith("extra");
    return {
      marker: marker.id,
      title: `Trim line: ${control.label.toLowerCase()}`,
      place: [levelWords(-control.heightMm, (value, unit) => text(value, unit, 1))],
      aside,
      move: (right, up) => {
        const turn = aside ? turnDeg(marker.at, shift(viewer, right, 0), side) : 0;
        change((now) => {
          const known = trimControls(now).find((one) => one.name === name);
          return known === undefined
            ? now
            : movedTrim(now, name, known.heightMm + up, known.angleDeg + turn);
        });
      },
      length: null,
      width: null,
      depth: null,
    };
  };
}

/** How far a shift goes around the limb's axis, from outward towards the front. */
function turnDeg(at: Triple, by: Point, side: "left" | "right"): number {
  return (turnBetween(fromPatient(at, side), fromPatient(sum(at, by), side)) * 180) / Math.PI;
}

/** The level of the cross-section, while nothing on the limb is selected. */
function useSectionHandling(limb: Limb | null): Handling | null {
  const { settings, setSettings } = useView();
  const { text } = useUnits();
  const level = settings.sectionMm;
  if (level === null) {
    return null;
  }
  return {
    marker: null,
    title: "Cross-section",
    place: [levelWords(level, (value, unit) => text(value, unit, 1))],
    aside: false,
    move: (_, up) =>
      setSettings((now) =>
        now.sectionMm === null ? now : { ...now, sectionMm: levelWithin(limb, now.sectionMm - up) },
      ),
    length: null,
    width: null,
    depth: null,
  };
}

type Text = (value: number, unit: string, digits?: number) => string;

function placeWords([outward, forward, up]: Point, text: Text): string[] {
  const size = (value: number): string => text(Math.abs(value), "mm", 1);
  return [
    levelWords(-up, (value, unit) => text(value, unit, 1)),
    `${size(outward)} ${outward < 0 ? "medial" : "lateral"}`,
    `${size(forward)} ${forward < 0 ? "posterior" : "anterior"}`,
  ];
}

/** How far an area was moved from its place of origin. */
function movedWords(plan: AreaPlan, text: Text): string {
  const { move_distal_mm: down, move_around_mm: around } = plan;
  if (down === 0 && around === 0) {
    return "Not moved";
  }
  const size = (value: number): string => text(Math.abs(value), "mm", 1);
  return `Moved ${size(down)} ${down < 0 ? "up" : "down"}, ${size(around)} around`;
}

function sum(a: Point, b: Point): Point {
  return [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
}
