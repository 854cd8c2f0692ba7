/** Markers are page elements over the picture: readable, focusable, and never blurred. */

import { type Camera, Vector3 } from "three";
import type { MarkerItem, Triple } from "./scene";

export interface MarkerEvents {
  readonly onMarker: (id: string) => void;
  /** A marker was taken by the pointer; the viewer follows until it is let go. */
  readonly onGrab: (id: string, event: PointerEvent) => void;
}

export class MarkerLayer {
  readonly element = document.createElement("div");
  private readonly buttons = new Map<string, HTMLButtonElement>();
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
      }
    }
    for (const item of items) {
      dress(this.buttons.get(item.id) ?? this.create(item.id), item);
    }
  }

  /** Put every marker where it is seen; those behind the surface fade. */
  place(camera: Camera, width: number, height: number, hidden: (at: Triple) => boolean): void {
    const point = new Vector3();
    for (const item of this.items) {
      const button = this.buttons.get(item.id);
      if (button !== undefined) {
        point.set(...item.at).project(camera);
        const x = ((point.x + 1) / 2) * width;
        const y = ((1 - point.y) / 2) * height;
        button.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
        button.classList.toggle("behind", item.look !== "joint" && hidden(item.at));
        button.classList.toggle("label-left", point.x > 0.55);
      }
    }
  }

  private create(id: string): HTMLButtonElement {
    const button = document.createElement("button");
    button.type = "button";
    button.append(dot(), caption());
    button.addEventListener("click", () => this.events.onMarker(id));
    button.addEventListener("pointerdown", (event) => {
      if (button.classList.contains("movable") && event.button === 0) {
        this.events.onGrab(id, event);
      }
    });
    this.element.append(button);
    this.buttons.set(id, button);
    return button;
  }
}

function dress(button: HTMLButtonElement, item: MarkerItem): void {
  button.className = `marker ${item.look}`;
  button.classList.toggle("selected", item.selected);
  button.classList.toggle("movable", item.movable);
  button.setAttribute("aria-pressed", String(item.selected));
  button.dataset.marker = item.id;
  const guess = item.look === "guess" ? " (a guess)" : "";
  const text = button.lastElementChild;
  if (text !== null && text.textContent !== item.label + guess) {
    text.textContent = item.label + guess;
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
