/** What the viewer can be asked to show. It knows meshes, lines and markers, and no stage. */

import type { Ramp } from "./ramps";

export type Triple = readonly [number, number, number];

/** Surfaces by how they look; the colours stand in the style sheet. */
export type Finish =
  | "skin"
  | "shape"
  | "bone"
  | "model"
  | "hardware"
  | "trim"
  | "leg"
  | "plumb"
  | "edge"
  | "ghost"
  | "push"
  | "mark"
  | "casing";

export interface Paint {
  /** One value per vertex. */
  readonly values: Float32Array;
  /** The value counts where this is at least one half; elsewhere the surface stays plain. */
  readonly cover?: Float32Array;
  readonly ramp: Ramp;
  /** The one mesh that the values belong to; else every one with as many vertices. */
  readonly only?: string;
}

export interface MeshItem {
  readonly id: string;
  readonly positions: Float32Array;
  readonly faces: Uint32Array;
  readonly finish: Finish;
  /** 1 = solid. */
  readonly opacity: number;
  readonly paint: Paint | null;
  /** Whether the pointer reads values from it and landmarks may be put on it. */
  readonly readable: boolean;
}

export interface LineItem {
  readonly id: string;
  readonly positions: Float32Array;
  readonly closed: boolean;
  readonly finish: Finish;
  readonly widthPx: number;
  /** Dashed, and seen through what lies before it. */
  readonly through?: boolean;
  /** Between two pale edges, so that it is seen on whatever it crosses. */
  readonly cased?: boolean;
}

export interface MarkerItem {
  readonly id: string;
  readonly label: string;
  readonly at: Triple;
  readonly look: "sure" | "guess" | "joint";
  readonly selected: boolean;
  readonly movable: boolean;
}

/** Something to drag that belongs to what is selected: an edge, or a depth. */
export interface HandleItem {
  readonly id: string;
  /** What it is, to a screen reader. */
  readonly label: string;
  /** What it stands at, in words. */
  readonly value: string;
  readonly now: number;
  readonly range: readonly [number, number];
  readonly at: Triple;
  /** How far on the screen it stands away from its place, on a stalk; 0 stands on the surface. */
  readonly awayPx: number;
  /** Shown beside it all the time, and not only while it is held or pointed at. */
  readonly captioned: boolean;
}

/** How far a handle was dragged since it was taken. */
export interface HandleDrag {
  /** Where it was taken and where it is now on the surface; null while off the limb. */
  readonly from: Triple | null;
  readonly to: Triple | null;
  /** Along its stalk, away from its place. */
  readonly awayPx: number;
}

/** Which way the limb faces: what views, axes and the words for them go by. */
export interface Facing {
  /** Which way outward is along x: +1 for a right limb, -1 for a left one. */
  readonly outward: 1 | -1;
  /** How far the front is turned from y about the vertical, radians. */
  readonly turnRad?: number;
  /** What of it nobody has said yet. */
  readonly guessed?: readonly Way[];
}

export type Way = "outer" | "front" | "up";

export interface Scene extends Facing {
  readonly meshes: readonly MeshItem[];
  readonly lines: readonly LineItem[];
  readonly markers: readonly MarkerItem[];
  readonly handles?: readonly HandleItem[];
}

/** What lies under the pointer. */
export interface Reading {
  readonly item: string;
  readonly point: Triple;
  /** Corner of the touched face that lies nearest. */
  readonly vertex: number;
  /** The touched face's corners, and how far each lies from the point. */
  readonly corners: readonly number[];
  readonly away: readonly number[];
  /** Painted value there, between the corners; null where none counts. */
  readonly value: number | null;
}
