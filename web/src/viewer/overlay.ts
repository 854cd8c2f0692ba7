/** What lies over the picture and moves with the camera: the orientation triad and the scale bar. */

import { type OrthographicCamera, Vector3 } from "three";
import { MM_PER_INCH } from "../units/display";
import { KEEPS_CLEAR } from "./boxes";
import type { Facing, Way } from "./scene";
import { HALF_VIEW_MM } from "./views";

const SVG = "http://www.w3.org/2000/svg";
const ARM = 26;
const CENTRE = 46;

const UP = new Vector3(0, 0, 1);
const ARMS: readonly Way[] = ["outer", "front", "up"];

function along(way: Way, { outward, turnRad = 0 }: Facing): Vector3 {
  const axis = {
    outer: new Vector3(outward, 0, 0),
    front: new Vector3(0, 1, 0),
    up: UP.clone(),
  }[way];
  return axis.applyAxisAngle(UP, turnRad);
}

/** Three arms named in words: outer, front, up; with a question mark while one is a guess. */
export class Triad {
  readonly element = document.createElementNS(SVG, "svg");
  private readonly arms = ARMS.map((way) => {
    const line = document.createElementNS(SVG, "line");
    const text = document.createElementNS(SVG, "text");
    text.setAttribute("text-anchor", "middle");
    text.setAttribute("dominant-baseline", "central");
    // The words reach beyond the cross.
    text.setAttribute(KEEPS_CLEAR, "");
    this.element.append(line, text);
    return { line, text, way };
  });

  constructor() {
    this.element.setAttribute("class", "triad");
    this.element.setAttribute("viewBox", "0 0 92 92");
    this.element.setAttribute("role", "img");
    this.element.setAttribute(KEEPS_CLEAR, "");
  }

  place(camera: OrthographicCamera, facing: Facing): void {
    const inverse = camera.matrixWorldInverse;
    for (const { line, text, way } of this.arms) {
      text.textContent = facing.guessed?.includes(way) === true ? `${way}?` : way;
      const seen = along(way, facing).transformDirection(inverse);
      const length = Math.hypot(seen.x, seen.y);
      const towards = seen.z > 0.995;
      const away = seen.z < -0.995;
      const x = CENTRE + seen.x * ARM;
      const y = CENTRE - seen.y * ARM;
      set(line, { x1: CENTRE, y1: CENTRE, x2: x, y2: y });
      line.setAttribute("class", seen.z < -0.1 ? "far" : "near");
      // The word stands beyond the tip; an arm along the view has no tip, its word stays off.
      const out = length < 0.18 ? 0 : (ARM + 11) / length;
      set(text, { x: CENTRE + seen.x * out, y: CENTRE - seen.y * out });
      text.setAttribute("visibility", towards || away || length < 0.18 ? "hidden" : "visible");
    }
    this.element.setAttribute("aria-label", describeView(camera, facing));
  }
}

/** From where the camera looks, in words: "seen from the front and the outer side". */
export function describeView(camera: OrthographicCamera, facing: Facing): string {
  const back = new Vector3().setFromMatrixColumn(camera.matrixWorld, 2);
  const [front, outer] = [back.dot(along("front", facing)), back.dot(along("outer", facing))];
  const parts: [number, string][] = [
    [front, "the front"],
    [-front, "the back"],
    [outer, "the outer side"],
    [-outer, "the inner side"],
    [back.z, "above"],
    [-back.z, "below"],
  ];
  const words = parts
    .filter(([share]) => share > 0.38)
    .sort((a, b) => b[0] - a[0])
    .map(([, word]) => word);
  return `Seen from ${words.join(" and ")}`;
}

/** A bar of a round length. */
export class ScaleBar {
  readonly element = document.createElement("div");
  private readonly bar = document.createElement("span");
  private readonly text = document.createElement("span");
  private shown = "";

  constructor() {
    this.element.className = "scale-bar";
    this.element.setAttribute(KEEPS_CLEAR, "");
    this.element.append(this.bar, this.text);
  }

  place(camera: OrthographicCamera, height: number, inches: boolean): void {
    const pxPerMm = (height * camera.zoom) / (2 * HALF_VIEW_MM);
    const unit = inches ? MM_PER_INCH : 10;
    const lengths = inches ? [0.25, 0.5, 1, 2, 4, 8] : [0.5, 1, 2, 5, 10, 20];
    const fitting = lengths.filter((length) => length * unit * pxPerMm <= 130);
    const length = fitting[fitting.length - 1] ?? lengths[0] ?? 1;
    const label = inches ? `${length.toString()} in` : `${(length * 10).toString()} mm`;
    const key = `${label} ${(length * unit * pxPerMm).toFixed(0)}`;
    if (key !== this.shown) {
      this.shown = key;
      this.bar.style.width = `${(length * unit * pxPerMm).toFixed(1)}px`;
      this.text.textContent = label;
    }
  }
}

function set(element: SVGElement, values: Record<string, number>): void {
  for (const [name, value] of Object.entries(values)) {
    element.setAttribute(name, value.toFixed(1));
  }
}
