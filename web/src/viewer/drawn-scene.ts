/** The drawn counterpart of a scene: one layer per item, kept and updated by the item's id. */

import { AmbientLight, Box3, type Camera, DirectionalLight, type Ray, Scene as World } from "three";
import { LineLayer } from "./line-layer";
import { MeshLayer } from "./mesh-layer";
import type { Palette } from "./palette";
import { sameItems } from "./same-items";
import type { LineItem, MeshItem, Reading, Triple } from "./scene";

export class DrawnScene {
  readonly world = new World();
  private readonly meshes = new Map<string, MeshLayer>();
  private readonly lines = new Map<string, LineLayer>();
  private items: readonly Item[] = [];
  private width = 1;
  private height = 1;

  /** The lamp goes with the camera, so that the shading is the same from every side. */
  constructor(camera: Camera) {
    const lamp = new DirectionalLight("#ffffff", 1.9);
    lamp.position.set(-0.5, 0.9, 1.4);
    camera.add(lamp);
    this.world.add(camera, new AmbientLight("#ffffff", 1.55));
  }

  /** Take over the items; false where they are what is drawn already. */
  show(meshes: readonly MeshItem[], lines: readonly LineItem[], palette: Palette): boolean {
    if (sameItems(this.items, [...meshes, ...lines])) {
      return false;
    }
    this.items = [...meshes, ...lines];
    sync(this.meshes, meshes, {
      create: () => {
        const layer = new MeshLayer();
        this.world.add(layer.mesh);
        return layer;
      },
      remove: (layer) => this.world.remove(layer.mesh),
      update: (layer, item) => layer.update(item, palette),
    });
    sync(this.lines, lines, {
      create: () => {
        const layer = new LineLayer();
        this.world.add(layer.line);
        layer.resize(this.width, this.height);
        return layer;
      },
      remove: (layer) => this.world.remove(layer.line),
      update: (layer, item) => layer.update(item, palette),
    });
    return true;
  }

  recolour(palette: Palette): void {
    for (const layer of [...this.meshes.values(), ...this.lines.values()]) {
      layer.recolour(palette);
    }
  }

  resize(width: number, height: number): void {
    this.width = width;
    this.height = height;
    for (const layer of this.lines.values()) {
      layer.resize(width, height);
    }
  }

  bounds(): Box3 {
    const box = new Box3();
    for (const layer of [...this.meshes.values(), ...this.lines.values()]) {
      box.union(layer.bounds());
    }
    return box;
  }

  /** The nearest readable surface along a ray. */
  nearest(ray: Ray): { reading: Reading; distance: number } | null {
    const hits = [...this.meshes.values()]
      .filter((layer) => layer.shown?.readable === true)
      .map((layer) => layer.hit(ray))
      .filter((hit) => hit !== null);
    return hits.sort((a, b) => a.distance - b.distance)[0] ?? null;
  }

  /** The nearest point of the readable surfaces; the point itself where there is none. */
  closest(at: Triple): Triple {
    const feet = [...this.meshes.values()]
      .filter((layer) => layer.shown?.readable === true)
      .map((layer) => layer.closest(at))
      .filter((foot) => foot !== null);
    return feet.sort((a, b) => a.distance - b.distance)[0]?.point ?? at;
  }

  dispose(): void {
    for (const layer of [...this.meshes.values(), ...this.lines.values()]) {
      layer.dispose();
    }
  }
}

type Item = MeshItem | LineItem;

interface Steps<Layer, Item> {
  readonly create: () => Layer;
  readonly remove: (layer: Layer) => void;
  readonly update: (layer: Layer, item: Item) => void;
}

function sync<Layer extends { dispose(): void }, Item extends { id: string }>(
  layers: Map<string, Layer>,
  items: readonly Item[],
  steps: Steps<Layer, Item>,
): void {
  const wanted = new Set(items.map((item) => item.id));
  for (const [id, layer] of layers) {
    if (!wanted.has(id)) {
      steps.remove(layer);
      layer.dispose();
      layers.delete(id);
    }
  }
  for (const item of items) {
    let layer = layers.get(item.id);
    if (layer === undefined) {
      layer = steps.create();
      layers.set(item.id, layer);
    }
    steps.update(layer, item);
  }
}
