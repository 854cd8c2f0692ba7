/** Handles are page elements over the picture that are dragged, or moved by arrow keys. */

import { type Camera, Vector3 } from "three";
import { KEEPS_CLEAR } from "./boxes";
import type { HandleDrag, HandleItem, Triple } from "./scene";

export interface HandleEvents {
  /** A handle is being dragged; `gesture` is another one for every drag. */
  readonly onHandle: (id: string, drag: HandleDrag, gesture: string) => void;
  /** A drag was given up: what it changed is to be as it was when it was taken. */
  readonly onHandleGivenUp: (id: string, gesture: string) => void;
  /** A handle was moved by so many steps with a key. */
  readonly onHandleStepped: (id: string, steps: number) => void;
}

/** The stalk's way on the screen: up and aside, so that it stands clear of the edges' handles. */
const STALK = { x: 0.8, y: -0.6 } as const;
/** So much room a caption takes beside its handle. */
const CAPTION_PX = 150;
const STEPS: Readonly<Record<string, number>> = {
  ArrowUp: 1,
  ArrowRight: 1,
  ArrowDown: -1,
  ArrowLeft: -1,
  PageUp: 5,
  PageDown: -5,
};

interface Held {
  readonly id: string;
  readonly gesture: string;
  readonly pointer: number;
  readonly start: { readonly x: number; readonly y: number };
  readonly from: Triple | null;
  readonly moved: boolean;
}

export class HandleLayer {
  readonly element = document.createElement("div");
  private readonly events: HandleEvents;
  private readonly read: (event: PointerEvent) => Triple | null;
  private readonly parts = new Map<string, HTMLElement>();
  private items: readonly HandleItem[] = [];
  private held: Held | null = null;
  /** Which way the stalk leans: +1 to the right. */
  private lean: 1 | -1 = 1;
  private drags = 0;

  constructor(events: HandleEvents, read: (event: PointerEvent) => Triple | null) {
    this.events = events;
    this.read = read;
    this.element.className = "handles";
  }

  update(items: readonly HandleItem[]): void {
    this.items = items;
    const kept = new Set(items.map((item) => item.id));
    for (const [id, part] of this.parts) {
      if (!kept.has(id)) {
        part.remove();
        this.parts.delete(id);
      }
    }
    for (const item of items) {
      dress(this.parts.get(item.id) ?? this.create(item.id), item);
    }
  }

  /** Put every handle where it is seen; those behind the surface fade. */
  place(camera: Camera, width: number, height: number, hidden: (at: Triple) => boolean): void {
    const point = new Vector3();
    for (const item of this.items) {
      const part = this.parts.get(item.id);
      if (part === undefined) {
        continue;
      }
      point.set(...item.at).project(camera);
      const x = ((point.x + 1) / 2) * width;
      const y = ((1 - point.y) / 2) * height;
      if (this.held === null && item.awayPx > 0) {
        this.lean = x + STALK.x * item.awayPx > width - CAPTION_PX ? -1 : 1;
      }
      const [dx, dy] = [this.lean * STALK.x * item.awayPx, STALK.y * item.awayPx];
      part.style.transform = `translate(${(x + dx).toFixed(1)}px, ${(y + dy).toFixed(1)}px)`;
      part.style.setProperty("--stalk", `${item.awayPx.toFixed(1)}px`);
      const back = Math.atan2(-dy, -dx);
      part.style.setProperty("--stalk-turn", `${back.toFixed(3)}rad`);
      part.classList.toggle("behind", item.awayPx === 0 && hidden(item.at));
      const beside = x + dx;
      part.classList.toggle("label-left", beside > Math.max(width - CAPTION_PX, width / 2));
    }
  }

  dispose(): void {
    removeEventListener("keydown", this.onEscape, { capture: true });
  }

  private create(id: string): HTMLElement {
    const part = document.createElement("div");
    part.tabIndex = 0;
    part.dataset.handle = id;
    part.setAttribute("role", "slider");
    const grip = document.createElement("span");
    grip.className = "handle-grip";
    const caption = document.createElement("span");
    caption.className = "handle-caption";
    caption.setAttribute(KEEPS_CLEAR, "");
    part.append(grip, caption);
    grip.addEventListener("pointerdown", (event) => this.take(id, part, event));
    grip.addEventListener("pointermove", this.onMove);
    grip.addEventListener("pointerup", this.onUp);
    grip.addEventListener("pointercancel", this.onCancel);
    part.addEventListener("keydown", (event) => this.onKey(id, event));
    this.element.append(part);
    this.parts.set(id, part);
    return part;
  }

  private take(id: string, part: HTMLElement, event: PointerEvent): void {
    if (event.button !== 0 || this.held !== null) {
      return;
    }
    event.preventDefault();
    part.focus();
    (event.currentTarget as HTMLElement).setPointerCapture(event.pointerId);
    this.drags += 1;
    this.held = {
      id,
      gesture: `${id} ${this.drags.toString()} ${event.timeStamp.toFixed(0)}`,
      pointer: event.pointerId,
      start: { x: event.clientX, y: event.clientY },
      from: this.read(event),
      moved: false,
    };
    part.classList.add("held");
    addEventListener("keydown", this.onEscape, { capture: true });
  }

  private readonly onMove = (event: PointerEvent): void => {
    const { held } = this;
    if (held === null || event.pointerId !== held.pointer) {
      return;
    }
    const to = this.read(event);
    const from = held.from ?? to;
    this.held = { ...held, from, moved: true };
    const [x, y] = [event.clientX - held.start.x, event.clientY - held.start.y];
    const awayPx = x * this.lean * STALK.x + y * STALK.y;
    this.events.onHandle(held.id, { from, to, awayPx }, held.gesture);
  };

  private readonly onUp = (event: PointerEvent): void => {
    if (event.pointerId === this.held?.pointer) {
      this.letGo();
    }
  };

  private readonly onCancel = (event: PointerEvent): void => {
    if (event.pointerId === this.held?.pointer) {
      this.giveUp();
    }
  };

  private readonly onEscape = (event: KeyboardEvent): void => {
    if (event.key === "Escape") {
      event.stopPropagation();
      this.giveUp();
    }
  };

  private giveUp(): void {
    const held = this.letGo();
    if (held?.moved === true) {
      this.events.onHandleGivenUp(held.id, held.gesture);
    }
  }

  private letGo(): Held | null {
    const { held } = this;
    this.held = null;
    removeEventListener("keydown", this.onEscape, { capture: true });
    if (held !== null) {
      this.parts.get(held.id)?.classList.remove("held");
    }
    return held;
  }

  private onKey(id: string, event: KeyboardEvent): void {
    const steps = STEPS[event.key];
    if (steps !== undefined && !event.shiftKey && !event.altKey) {
      event.preventDefault();
      event.stopPropagation();
      this.events.onHandleStepped(id, steps);
    }
  }
}

function dress(part: HTMLElement, item: HandleItem): void {
  const held = part.classList.contains("held");
  part.className = `handle${item.awayPx > 0 ? " stalked" : ""}${item.captioned ? " captioned" : ""}`;
  part.classList.toggle("held", held);
  part.setAttribute("aria-label", item.label);
  part.setAttribute("aria-valuetext", item.value);
  part.setAttribute("aria-valuenow", item.now.toFixed(1));
  part.setAttribute("aria-valuemin", item.range[0].toString());
  part.setAttribute("aria-valuemax", item.range[1].toString());
  const caption = part.lastElementChild;
  if (caption !== null && caption.textContent !== item.value) {
    caption.textContent = item.value;
  }
}
