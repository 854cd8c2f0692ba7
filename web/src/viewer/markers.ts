/** Markers are page elements over the picture: readable, focusable, and never blurred. */

import { type Camera, Vector3 } from "three";
import { type Box, overlap } from "./boxes";
import type { Spot } from "./pointer-watch";
import type { MarkerItem, Triple } from "./scene";

const LETTER_PX = 6.8;
/** Between a caption and what stands beside it. */
const GAP_PX = 3;
/** Within this of a marker's middle a finger means that marker: half of what a finger needs. */
const REACH_PX = 24;

export interface MarkerEvents {
  readonly onMarker: (id: string) => void;
  /** A marker was taken by the pointer; the viewer follows until it is let go. */
  readonly onGrab: (id: string, event: PointerEvent) => void;
  /** A finger came down on a marker that cannot be moved: it may still turn the limb. */
  readonly onPress: (event: PointerEvent) => void;
}

export class MarkerLayer {
  readonly element = document.createElement("div");
  private readonly buttons = new Map<string, HTMLButtonElement>();
  private readonly places = new Map<string, Spot>();
  private items: readonly MarkerItem[] = [];
  private readonly events: MarkerEvents;

  constructor(events: MarkerEvents) {
    this.events = events;
    this.element.className = "markers";
  }

  update(items: readonly MarkerItem[]): void {
    this.items = items;
    const kept = new Set(items.map((item) => item.id));
    for (const [id, button] of this.buttons) {
      if (!kept.has(id)) {
        button.remove();
        this.buttons.delete(id);
        this.places.delete(id);
      }
    }
    for (const item of items) {
      dress(this.buttons.get(item.id) ?? this.create(item.id), item);
    }
  }

  /**
   * Put every marker where it is seen; those behind the surface fade, captions overlap neither
   * each other nor what is kept clear, and end inside the picture.
   */
  place(
    camera: Camera,
    width: number,
    height: number,
    hidden: (at: Triple) => boolean,
    kept: readonly Box[] = [],
  ): void {
    const taken: Box[] = [...kept];
    const point = new Vector3();
    // The selected one comes first, so that its caption is never the one to yield.
    for (const item of [...this.items].sort((a, b) => Number(b.selected) - Number(a.selected))) {
      const button = this.buttons.get(item.id);
      if (button !== undefined) {
        point.set(...item.at).project(camera);
        const x = ((point.x + 1) / 2) * width;
        const y = ((1 - point.y) / 2) * height;
        this.places.set(item.id, { x, y });
        const runsInto = (toTheLeft: boolean): boolean => {
          const own = captionBox(x, y, item.label.length, toTheLeft);
          const outside = own.left < 0 || own.right > width;
          return outside || kept.some((other) => overlap(own, other));
        };
        const wish = point.x > 0.55;
        const left = runsInto(wish) && !runsInto(!wish) ? !wish : wish;
        const behind = item.look !== "joint" && hidden(item.at);
        button.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
        button.classList.toggle("behind", behind);
        button.classList.toggle("label-left", left);
        const box = captionBox(x, y, item.label.length, left);
        const free =
          item.selected ||
          (!behind && !runsInto(left) && !taken.some((other) => overlap(box, other)));
        button.classList.toggle("mute", !free);
        if (free) {
          taken.push(box);
        }
      }
    }
  }

  /** Where a marker is seen, in the page's pixels. */
  spot(id: string): Spot | null {
    const place = this.places.get(id);
    const { left, top } = this.element.getBoundingClientRect();
    return place === undefined ? null : { x: left + place.x, y: top + place.y };
  }

  private onDown(on: string, event: PointerEvent): void {
    if (event.button !== 0) {
      return;
    }
    const id = this.nearest(on, event);
    if (this.items.some((item) => item.id === id && item.movable)) {
      this.events.onGrab(id, event);
    } else if (event.pointerType === "touch") {
      this.buttons.get(id)?.focus();
      this.events.onPress(event);
    }
  }

  /** Where the targets of neighbours overlap, the one whose middle lies nearest is meant. */
  private nearest(on: string, event: PointerEvent): string {
    const { left, top } = this.element.getBoundingClientRect();
    let best = on;
    let away = REACH_PX;
    for (const [id, { x, y }] of this.places) {
      const distance = Math.hypot(left + x - event.clientX, top + y - event.clientY);
      if (distance < away && this.buttons.get(id)?.classList.contains("behind") === false) {
        best = id;
        away = distance;
      }
    }
    return best;
  }

  private create(id: string): HTMLButtonElement {
    const button = document.createElement("button");
    button.type = "button";
    button.append(dot(), caption());
    button.addEventListener("click", () => this.events.onMarker(id));
    button.addEventListener("pointerdown", (event) => this.onDown(id, event));
    this.element.append(button);
    this.buttons.set(id, button);
    return button;
  }
}

/** Where a caption of some letters stands, nearly: measuring each would be slow. */
function captionBox(x: number, y: number, letters: number, toTheLeft: boolean): Box {
  const width = letters * LETTER_PX + 10;
  const left = toTheLeft ? x - 12 - width : x + 12;
  return { left: left - GAP_PX, right: left + width + GAP_PX, top: y - 9, bottom: y + 9 };
}

function dress(button: HTMLButtonElement, item: MarkerItem): void {
  button.className = `marker ${item.look}`;
  button.classList.toggle("selected", item.selected);
  button.classList.toggle("movable", item.movable);
  button.setAttribute("aria-pressed", String(item.selected));
  button.dataset.marker = item.id;
  button.setAttribute("aria-label", item.label);
  const text = button.lastElementChild;
  if (text !== null && text.textContent !== item.label) {
    text.textContent = item.label;
  }
}

function dot(): HTMLElement {
  const element = document.createElement("span");
  element.className = "marker-dot";
  return element;
}

function caption(): HTMLElement {
  const element = document.createElement("span");
  element.className = "marker-caption";
  return element;
}
