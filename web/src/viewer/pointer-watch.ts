/** What the pointer does over the picture: reads values, touches the limb, drags a marker. */

import type { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import type { Reading, Triple } from "./scene";

export interface PointerEvents {
  /** What the pointer is over, and where in the picture; null when over nothing. */
  readonly onReading: (reading: Reading | null, x: number, y: number) => void;
  /** A press and release in one place on a readable surface. */
  readonly onTouch: (reading: Reading) => void;
  readonly onMarker: (id: string) => void;
  /** A marker was dragged along the surface and let go. */
  readonly onMarkerMoved: (id: string, at: Triple) => void;
}

export interface PointerTools {
  readonly canvas: HTMLCanvasElement;
  readonly controls: OrbitControls;
  readonly read: (event: PointerEvent) => Reading | null;
  /** Show a marker where it is being dragged. */
  readonly preview: (id: string, at: Triple) => void;
}

const CLICK_PX = 5;

export class PointerWatch {
  private readonly tools: PointerTools;
  private readonly events: PointerEvents;
  private pressed: { x: number; y: number } | null = null;
  private dragged: { id: string; at: Triple | null } | null = null;

  constructor(tools: PointerTools, events: PointerEvents) {
    this.tools = tools;
    this.events = events;
    const { canvas } = tools;
    canvas.addEventListener("pointermove", this.onMove);
    canvas.addEventListener("pointerdown", this.onDown);
    canvas.addEventListener("pointerup", this.onUp);
    canvas.addEventListener("pointercancel", this.onCancel);
    canvas.addEventListener("pointerleave", this.onLeave);
  }

  /** Follow the pointer with a marker until it is let go. */
  grab(id: string, event: PointerEvent): void {
    this.dragged = { id, at: null };
    this.tools.controls.enabled = false;
    this.tools.canvas.setPointerCapture(event.pointerId);
  }

  private readonly onMove = (event: PointerEvent): void => {
    if (this.dragged !== null) {
      const reading = this.tools.read(event);
      if (reading !== null) {
        this.dragged = { id: this.dragged.id, at: reading.point };
        this.tools.preview(this.dragged.id, reading.point);
      }
    } else if (event.buttons === 0) {
      this.events.onReading(this.tools.read(event), event.offsetX, event.offsetY);
    }
  };

  private readonly onDown = (event: PointerEvent): void => {
    this.pressed = { x: event.clientX, y: event.clientY };
    this.events.onReading(null, 0, 0);
  };

  private readonly onUp = (event: PointerEvent): void => {
    const { pressed } = this;
    this.pressed = null;
    if (this.dragged !== null) {
      this.letGo();
    } else if (pressed !== null && event.button === 0 && isClick(event, pressed)) {
      const reading = this.tools.read(event);
      if (reading !== null) {
        this.events.onTouch(reading);
      }
    }
  };

  private readonly onCancel = (): void => {
    this.pressed = null;
    this.dragged = null;
    this.tools.controls.enabled = true;
  };

  private readonly onLeave = (): void => this.events.onReading(null, 0, 0);

  private letGo(): void {
    const { dragged } = this;
    this.dragged = null;
    this.tools.controls.enabled = true;
    if (dragged === null) {
      return;
    }
    if (dragged.at === null) {
      this.events.onMarker(dragged.id);
    } else {
      this.events.onMarkerMoved(dragged.id, dragged.at);
    }
  }
}

function isClick(event: PointerEvent, pressed: { x: number; y: number }): boolean {
  return Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) < CLICK_PX;
}
