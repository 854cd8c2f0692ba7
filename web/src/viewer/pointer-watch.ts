/**
 * What pointers do over the picture: read values, touch the limb, drag a marker.
 *
 * A finger hides what it touches, so under a finger a lens shows the spot: while a marker is
 * dragged, and while a finger that was held still aims at the limb. Two fingers turn to the
 * camera; a finger that joins a drag under way is left out of it.
 */

import type { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import type { Reading, Triple } from "./scene";

/** A place on the screen, in the page's pixels. */
export interface Spot {
  readonly x: number;
  readonly y: number;
}

export interface PointerEvents {
  /**
   * What the pointer is over, and where in the picture; null when over nothing. Under a finger the
   * place itself is hidden.
   */
  readonly onReading: (reading: Reading | null, x: number, y: number, finger: boolean) => void;
  /** A press and release in one place on a readable surface, or a finger lifted from aiming at it. */
  readonly onTouch: (reading: Reading) => void;
  readonly onMarker: (id: string) => void;
  /** A marker was dragged along the surface and let go. */
  readonly onMarkerMoved: (id: string, at: Triple) => void;
}

export interface PointerTools {
  readonly canvas: HTMLCanvasElement;
  readonly controls: OrbitControls;
  readonly read: (spot: Spot) => Reading | null;
  /** Where a marker is seen. */
  readonly markerSpot: (id: string) => Spot | null;
  /** Show a marker where it is being dragged; null puts it back. */
  readonly preview: (id: string, at: Triple | null) => void;
  /** Enlarge a spot for as long as a finger hides it; null when none does. */
  readonly lens: (spot: Spot | null, finger: Spot) => void;
}

interface Drag {
  readonly id: string;
  readonly down: PointerEvent;
  /** From the pointer to the middle of the marker: a marker taken at its rim does not jump. */
  readonly grip: Spot;
  readonly moving: boolean;
  readonly at: Triple | null;
}

const CLICK_PX = { mouse: 5, pen: 7, touch: 10 } as const;
/** A finger that rests this long begins to aim. */
const HOLD_MS = 350;

export class PointerWatch {
  private readonly tools: PointerTools;
  private readonly events: PointerEvents;
  private readonly down = new Set<number>();
  private pressed: PointerEvent | null = null;
  private dragged: Drag | null = null;
  /** The finger that aims. */
  private aiming: number | null = null;
  private timer: ReturnType<typeof setTimeout> | undefined;

  constructor(tools: PointerTools, events: PointerEvents) {
    this.tools = tools;
    this.events = events;
    const { canvas } = tools;
    // Before the camera's own listeners: what begins here decides whether the camera may move.
    const first = { capture: true };
    canvas.addEventListener("pointermove", this.onMove, first);
    canvas.addEventListener("pointerdown", this.onDown, first);
    canvas.addEventListener("pointerup", this.onUp, first);
    canvas.addEventListener("pointercancel", this.onCancel, first);
    canvas.addEventListener("pointerleave", this.onLeave);
    canvas.addEventListener("contextmenu", (event) => event.preventDefault());
  }

  /** Follow the pointer with a marker until it is let go. */
  grab(id: string, event: PointerEvent): void {
    if (this.dragged?.moving === true || this.aiming !== null) {
      return;
    }
    if (this.dragged !== null || this.othersDown(event)) {
      this.leaveToCamera();
      this.passOn(event);
      return;
    }
    const seen = this.tools.markerSpot(id);
    const grip = seen && { x: seen.x - event.clientX, y: seen.y - event.clientY };
    this.dragged = { id, down: event, grip: grip ?? { x: 0, y: 0 }, moving: false, at: null };
    this.down.add(event.pointerId);
    this.tools.controls.enabled = false;
    this.tools.canvas.setPointerCapture(event.pointerId);
    addEventListener("keydown", this.onKey, { capture: true });
    this.events.onReading(null, 0, 0, false);
  }

  /** Give the camera a press that began on something over the picture. */
  passOn(event: PointerEvent): void {
    const { canvas } = this.tools;
    this.down.add(event.pointerId);
    canvas.setPointerCapture(event.pointerId);
    canvas.dispatchEvent(new PointerEvent("pointerdown", event));
  }

  dispose(): void {
    clearTimeout(this.timer);
    removeEventListener("keydown", this.onKey, { capture: true });
  }

  private readonly onDown = (event: PointerEvent): void => {
    if (!event.isTrusted) {
      return; // passed on to the camera
    }
    const others = this.othersDown(event);
    this.down.add(event.pointerId);
    this.events.onReading(null, 0, 0, false);
    if (this.dragged?.moving === true || this.aiming !== null) {
      return;
    }
    this.leaveToCamera();
    this.unpress();
    if (!others) {
      this.pressed = event;
      if (event.pointerType === "touch") {
        this.timer = setTimeout(() => this.aim(event), HOLD_MS);
      }
    }
  };

  private readonly onMove = (event: PointerEvent): void => {
    const { dragged, pressed } = this;
    if (dragged !== null) {
      if (event.pointerId === dragged.down.pointerId) {
        this.drag(dragged, event);
      }
    } else if (this.aiming !== null) {
      if (event.pointerId === this.aiming) {
        this.aimAt(event);
      }
    } else if (event.buttons === 0) {
      this.events.onReading(this.tools.read(spotOf(event)), event.offsetX, event.offsetY, false);
    } else if (pressed?.pointerId === event.pointerId && !isClick(event, pressed)) {
      this.unpress();
    }
  };

  private readonly onUp = (event: PointerEvent): void => {
    const { pressed, dragged } = this;
    this.down.delete(event.pointerId);
    if (dragged !== null) {
      if (event.pointerId === dragged.down.pointerId) {
        // Moves are thinned out to the pace of drawing: the last place is told by the end alone.
        this.drag(dragged, event);
        this.letGo(this.dragged ?? dragged);
      }
    } else if (this.aiming !== null) {
      if (event.pointerId === this.aiming) {
        this.endAim();
        this.touch(event);
      }
    } else if (pressed?.pointerId === event.pointerId) {
      this.unpress();
      if (event.button === 0 && isClick(event, pressed)) {
        this.touch(event);
      }
    }
  };

  /** The system took the pointer away: everything is as it was before the press. */
  private readonly onCancel = (event: PointerEvent): void => {
    this.down.delete(event.pointerId);
    if (event.pointerId === this.dragged?.down.pointerId) {
      this.putBack();
    } else if (event.pointerId === this.aiming) {
      this.endAim();
      this.events.onReading(null, 0, 0, false);
    } else if (event.pointerId === this.pressed?.pointerId) {
      this.unpress();
    }
  };

  /** A lifted finger leaves too, and what it read stays to be read. */
  private readonly onLeave = (event: PointerEvent): void => {
    if (event.pointerType !== "touch") {
      this.events.onReading(null, 0, 0, false);
    }
  };

  private readonly onKey = (event: KeyboardEvent): void => {
    if (event.key === "Escape") {
      event.stopPropagation();
      this.putBack();
    }
  };

  private othersDown(event: PointerEvent): boolean {
    if (event.isPrimary) {
      this.down.clear(); // an end that never arrived, of a finger long gone
    }
    return this.down.size > 0;
  }

  private touch(event: PointerEvent): void {
    const reading = this.tools.read(spotOf(event));
    if (event.pointerType === "touch") {
      this.events.onReading(reading, event.offsetX, event.offsetY, true);
    }
    if (reading !== null) {
      this.events.onTouch(reading);
    }
  }

  private drag(dragged: Drag, event: PointerEvent): void {
    if (!dragged.moving && isClick(event, dragged.down)) {
      return;
    }
    const spot = { x: event.clientX + dragged.grip.x, y: event.clientY + dragged.grip.y };
    const at = this.tools.read(spot)?.point ?? dragged.at;
    this.dragged = { ...dragged, moving: true, at };
    if (at !== null) {
      this.tools.preview(dragged.id, at);
    }
    if (event.pointerType === "touch") {
      this.tools.lens(spot, spotOf(event));
    }
  }

  private letGo({ id, moving, at }: Drag): void {
    this.endDrag();
    if (!moving) {
      this.events.onMarker(id);
    } else if (at !== null) {
      this.events.onMarkerMoved(id, at);
    }
  }

  private putBack(): void {
    if (this.dragged !== null) {
      this.tools.preview(this.dragged.id, null);
      this.endDrag();
    }
  }

  private endDrag(): void {
    const { dragged } = this;
    this.dragged = null;
    removeEventListener("keydown", this.onKey, { capture: true });
    this.tools.controls.enabled = true;
    if (dragged !== null) {
      this.tools.lens(null, spotOf(dragged.down));
    }
  }

  /** A second finger came before the marker moved: two fingers were meant for the camera. */
  private leaveToCamera(): void {
    const { dragged } = this;
    if (dragged !== null) {
      this.endDrag();
      this.passOn(dragged.down);
    }
  }

  private unpress(): void {
    clearTimeout(this.timer);
    this.pressed = null;
  }

  private aim(event: PointerEvent): void {
    this.unpress();
    this.aiming = event.pointerId;
    this.tools.controls.enabled = false;
    this.aimAt(event);
  }

  private aimAt(event: PointerEvent): void {
    const spot = spotOf(event);
    this.tools.lens(spot, spot);
    const { left, top } = this.tools.canvas.getBoundingClientRect();
    this.events.onReading(this.tools.read(spot), spot.x - left, spot.y - top, true);
  }

  private endAim(): void {
    this.aiming = null;
    this.tools.controls.enabled = true;
    this.tools.lens(null, { x: 0, y: 0 });
  }
}

function spotOf(event: PointerEvent): Spot {
  return { x: event.clientX, y: event.clientY };
}

function isClick(event: PointerEvent, pressed: PointerEvent): boolean {
  const limit = CLICK_PX[event.pointerType as keyof typeof CLICK_PX] ?? CLICK_PX.mouse;
  return Math.hypot(event.clientX - pressed.clientX, event.clientY - pressed.clientY) < limit;
}
