/** A round window that enlarges the spot under a finger, drawn by the picture's own renderer. */

import {
  OrthographicCamera,
  Vector2,
  Vector4,
  type WebGLRenderer,
  type Scene as World,
} from "three";
import { HALF_VIEW_MM } from "./views";

const SIZE_PX = 136;
const ENLARGED = 3;
/** Clear of the finger's tip. */
const CLEAR_PX = 44;
const EDGE_PX = 4;

interface Place {
  readonly x: number;
  readonly y: number;
}

export class Lens {
  readonly element = document.createElement("div");
  private readonly glass = document.createElement("canvas");
  private readonly camera = new OrthographicCamera();
  /** The enlarged place, in pixels of the picture. */
  private at: Place | null = null;

  constructor() {
    this.element.className = "lens";
    this.element.hidden = true;
    this.element.setAttribute("aria-hidden", "true");
  }

  /** Enlarge a place of the picture; the window stands clear of the finger. */
  show(at: Place, finger: Place, width: number, height: number): void {
    this.at = at;
    this.element.hidden = false;
    // Only while it is used does the page hold a second picture.
    this.element.replaceChildren(this.glass);
    const { x, y } = lensCorner(finger, width, height);
    this.element.style.transform = `translate(${x.toFixed(0)}px, ${y.toFixed(0)}px)`;
  }

  hide(): void {
    this.at = null;
    this.element.hidden = true;
    this.element.replaceChildren();
  }

  /** Drawn into a corner of the picture and copied out of it, before the picture itself is drawn. */
  draw(renderer: WebGLRenderer, world: World, main: OrthographicCamera): void {
    if (this.at === null) {
      return;
    }
    const size = renderer.getSize(new Vector2());
    const before = renderer.getViewport(new Vector4());
    this.aim(this.at, main, size);
    renderer.setViewport(0, 0, SIZE_PX, SIZE_PX);
    renderer.setScissor(0, 0, SIZE_PX, SIZE_PX);
    renderer.setScissorTest(true);
    renderer.render(world, this.camera);
    this.copy(renderer);
    renderer.setScissorTest(false);
    renderer.setViewport(before);
  }

  private aim(at: Place, main: OrthographicCamera, size: Vector2): void {
    const { camera } = this;
    const mmPerPx = (2 * HALF_VIEW_MM) / main.zoom / size.y;
    const across = (at.x - size.x / 2) * mmPerPx;
    const over = (size.y / 2 - at.y) * mmPerPx;
    const half = (SIZE_PX / 2 / ENLARGED) * mmPerPx;
    camera.position.copy(main.position);
    camera.quaternion.copy(main.quaternion);
    camera.near = main.near;
    camera.far = main.far;
    camera.left = across - half;
    camera.right = across + half;
    camera.bottom = over - half;
    camera.top = over + half;
    camera.updateProjectionMatrix();
    camera.updateMatrixWorld();
  }

  private copy(renderer: WebGLRenderer): void {
    const side = Math.round(SIZE_PX * renderer.getPixelRatio());
    const picture = renderer.domElement;
    if (this.glass.width !== side) {
      this.glass.width = side;
      this.glass.height = side;
    }
    const context = this.glass.getContext("2d");
    context?.clearRect(0, 0, side, side);
    context?.drawImage(picture, 0, picture.height - side, side, side, 0, 0, side, side);
  }
}

/** Above the finger; where there is no room, on the side of it that has more. */
export function lensCorner(finger: Place, width: number, height: number): Place {
  const inside = (value: number, most: number): number =>
    Math.max(EDGE_PX, Math.min(most - SIZE_PX - EDGE_PX, value));
  const above = finger.y - CLEAR_PX - SIZE_PX;
  if (above >= EDGE_PX) {
    return { x: inside(finger.x - SIZE_PX / 2, width), y: inside(above, height) };
  }
  const aside = finger.x > width / 2 ? finger.x - CLEAR_PX - SIZE_PX : finger.x + CLEAR_PX;
  return { x: inside(aside, width), y: inside(finger.y - SIZE_PX, height) };
}
