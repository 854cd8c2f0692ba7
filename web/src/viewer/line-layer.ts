/** One drawn line of a width that stays the same on the screen. */

import { Box3, Group, Vector3 } from "three";
import { Line2 } from "three/examples/jsm/lines/Line2.js";
import { LineGeometry } from "three/examples/jsm/lines/LineGeometry.js";
import { LineMaterial } from "three/examples/jsm/lines/LineMaterial.js";
import type { Palette } from "./palette";
import type { LineItem } from "./scene";

const DASH_MM = 4;

/** A cased line shows this much of its casing on either side. */
const CASING_PX = 1.75;

export class LineLayer {
  readonly line = new Group();
  private readonly core = new Line2(new LineGeometry(), new LineMaterial());
  private readonly casing = new Line2(this.core.geometry, new LineMaterial());
  private item: LineItem | null = null;

  constructor() {
    // Both lie equally far away: the casing must not hide the line itself.
    this.casing.material.depthWrite = false;
    for (const part of [this.casing, this.core]) {
      part.frustumCulled = false;
      this.line.add(part);
    }
  }

  update(item: LineItem, palette: Palette): void {
    if (this.item?.positions !== item.positions || this.item.closed !== item.closed) {
      this.core.geometry.dispose();
      this.core.geometry = new LineGeometry();
      this.core.geometry.setPositions(joined(item));
      this.core.computeLineDistances();
      this.casing.geometry = this.core.geometry;
    }
    this.item = item;
    const through = item.through ?? false;
    this.casing.visible = item.cased ?? false;
    // Drawn after the surfaces, so that a line on a surface is not lost in it; seen through
    // everything, and so drawn after what is itself seen through; its casing before itself.
    const order = through ? 4 : 2;
    this.casing.renderOrder = order;
    this.core.renderOrder = order + 1;
    for (const { material } of [this.casing, this.core]) {
      material.depthTest = !through;
      material.transparent = through;
      material.dashed = through;
      material.dashSize = DASH_MM;
      material.gapSize = DASH_MM;
    }
    this.core.material.linewidth = item.widthPx;
    this.casing.material.linewidth = item.widthPx + 2 * CASING_PX;
    this.recolour(palette);
  }

  recolour(palette: Palette): void {
    if (this.item !== null) {
      this.core.material.color.copy(palette[this.item.finish]);
      this.casing.material.color.copy(palette.casing);
    }
  }

  resize(width: number, height: number): void {
    this.core.material.resolution.set(width, height);
    this.casing.material.resolution.set(width, height);
  }

  bounds(): Box3 {
    const box = new Box3();
    const positions = this.item?.positions ?? new Float32Array();
    const point = new Vector3();
    for (let i = 0; i + 2 < positions.length; i += 3) {
      box.expandByPoint(point.fromArray(positions, i));
    }
    return box;
  }

  dispose(): void {
    this.core.geometry.dispose();
    this.core.material.dispose();
    this.casing.material.dispose();
  }
}

function joined(item: LineItem): Float32Array {
  if (!item.closed || item.positions.length < 3) {
    return item.positions;
  }
  const ring = new Float32Array(item.positions.length + 3);
  ring.set(item.positions);
  ring.set(item.positions.subarray(0, 3), item.positions.length);
  return ring;
}
