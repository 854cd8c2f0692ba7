/** One drawn line of a width that stays the same on the screen. */

import { Box3, Vector3 } from "three";
import { Line2 } from "three/examples/jsm/lines/Line2.js";
import { LineGeometry } from "three/examples/jsm/lines/LineGeometry.js";
import { LineMaterial } from "three/examples/jsm/lines/LineMaterial.js";
import type { Palette } from "./palette";
import type { LineItem } from "./scene";

const DASH_MM = 4;

export class LineLayer {
  readonly line = new Line2(new LineGeometry(), new LineMaterial());
  private item: LineItem | null = null;

  constructor() {
    // Drawn after the surfaces, so that a line on a surface is not lost in it.
    this.line.renderOrder = 2;
    this.line.frustumCulled = false;
  }

  update(item: LineItem, palette: Palette): void {
    if (this.item?.positions !== item.positions || this.item.closed !== item.closed) {
      this.line.geometry.dispose();
      this.line.geometry = new LineGeometry();
      this.line.geometry.setPositions(joined(item));
      this.line.computeLineDistances();
    }
    this.item = item;
    const through = item.through ?? false;
    this.line.material.depthTest = !through;
    // Seen through everything, and so drawn after what is itself seen through.
    this.line.material.transparent = through;
    this.line.renderOrder = through ? 3 : 2;
    this.line.material.dashed = through;
    this.line.material.dashSize = DASH_MM;
    this.line.material.gapSize = DASH_MM;
    this.line.material.linewidth = item.widthPx;
    this.line.material.color.copy(palette[item.finish]);
  }

  recolour(palette: Palette): void {
    if (this.item !== null) {
      this.line.material.color.copy(palette[this.item.finish]);
    }
  }

  resize(width: number, height: number): void {
    this.line.material.resolution.set(width, height);
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
    this.line.geometry.dispose();
    this.line.material.dispose();
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
