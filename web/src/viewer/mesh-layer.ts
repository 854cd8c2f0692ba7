/** One drawn surface: its buffers, its paint and its search tree. */

import {
  Box3,
  BufferAttribute,
  BufferGeometry,
  DataTexture,
  DoubleSide,
  FrontSide,
  Mesh,
  MeshLambertMaterial,
  NearestFilter,
  type Ray,
  RGBAFormat,
  SRGBColorSpace,
  Vector3,
} from "three";
import { MeshBVH } from "three-mesh-bvh";
import type { Palette } from "./palette";
import { type Ramp, texels } from "./ramps";
import type { MeshItem, Paint, Reading, Triple } from "./scene";

/** A painted value counts where the cover is at least this. */
const COVERED = 0.5;

export class MeshLayer {
  readonly mesh = new Mesh(new BufferGeometry(), new MeshLambertMaterial());
  private item: MeshItem | null = null;
  private tree: MeshBVH | null = null;
  private treeIsBehind = false;
  private drawnRamp: Ramp | null = null;

  get shown(): MeshItem | null {
    return this.item;
  }

  update(item: MeshItem, palette: Palette): void {
    const before = this.item;
    this.item = item;
    if (before?.faces !== item.faces || before.positions.length !== item.positions.length) {
      this.rebuild(item);
    } else if (before.positions !== item.positions) {
      this.move(item.positions);
    }
    if (before === null || before.paint !== item.paint || before.faces !== item.faces) {
      this.paint(item.paint, palette);
    }
    this.finish(item, palette);
  }

  /** Colours anew, after a change between light and dark. */
  recolour(palette: Palette): void {
    if (this.item !== null) {
      this.drawnRamp = null;
      this.paint(this.item.paint, palette);
      this.finish(this.item, palette);
    }
  }

  /** First hit of a ray, with the painted value there. */
  hit(ray: Ray): { reading: Reading; distance: number } | null {
    const item = this.item;
    if (item === null || item.faces.length === 0) {
      return null;
    }
    const found = this.searchTree().raycastFirst(ray, DoubleSide);
    if (found === null || found.faceIndex === undefined || found.faceIndex === null) {
      return null;
    }
    const point: Triple = [found.point.x, found.point.y, found.point.z];
    return { reading: readAt(item, found.faceIndex, point), distance: found.distance };
  }

  /** The surface's point nearest to one beside it. */
  closest(at: Triple): { point: Triple; distance: number } | null {
    if (this.item === null || this.item.faces.length === 0) {
      return null;
    }
    const found = this.searchTree().closestPointToPoint(new Vector3(...at));
    if (found === null) {
      return null;
    }
    const { x, y, z } = found.point;
    return { point: [x, y, z], distance: found.distance };
  }

  bounds(): Box3 {
    return this.mesh.geometry.boundingBox ?? new Box3();
  }

  dispose(): void {
    this.mesh.geometry.dispose();
    this.mesh.material.map?.dispose();
    this.mesh.material.dispose();
  }

  private rebuild(item: MeshItem): void {
    this.mesh.geometry.dispose();
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(item.positions.slice(), 3));
    geometry.setAttribute(
      "uv",
      new BufferAttribute(new Float32Array((item.positions.length / 3) * 2), 2),
    );
    geometry.setIndex(new BufferAttribute(item.faces, 1));
    geometry.computeVertexNormals();
    geometry.computeBoundingBox();
    this.mesh.geometry = geometry;
    this.tree = null;
  }

  private move(positions: Float32Array): void {
    const geometry = this.mesh.geometry;
    const attribute = geometry.getAttribute("position");
    (attribute.array as Float32Array).set(positions);
    attribute.needsUpdate = true;
    geometry.computeVertexNormals();
    geometry.computeBoundingBox();
    geometry.computeBoundingSphere();
    this.treeIsBehind = true;
  }

  /**
   * Values go into the texture's u as they are; its transform holds the range. Of its two rows the
   * lower is the ramp and the upper plain: v falls as the cover grows and crosses between the rows
   * where the cover is one half, so that the edge runs smoothly through the faces.
   */
  private paint(paint: Paint | null, palette: Palette): void {
    const material = this.mesh.material;
    if (paint === null) {
      if (material.map !== null) {
        material.map.dispose();
        material.map = null;
        material.needsUpdate = true;
      }
      this.drawnRamp = null;
      return;
    }
    const uv = this.mesh.geometry.getAttribute("uv");
    const { values, cover } = paint;
    for (let i = 0; i < values.length; i += 1) {
      uv.setXY(i, values[i] ?? 0, 1 - Math.min(1, cover?.[i] ?? 1));
    }
    uv.needsUpdate = true;
    this.drawRamp(paint.ramp, palette);
  }

  private drawRamp(ramp: Ramp, palette: Palette): void {
    if (this.drawnRamp === ramp) {
      return;
    }
    const material = this.mesh.material;
    const painted = texels(ramp);
    const plain = palette.skin.clone().convertLinearToSRGB();
    const row = painted.map((_, i) =>
      Math.round(([plain.r, plain.g, plain.b, 1][i % 4] ?? 0) * 255),
    );
    const data = new Uint8Array(painted.length * 2);
    data.set(painted);
    data.set(row, painted.length);
    const texture = new DataTexture(data, painted.length / 4, 2, RGBAFormat);
    texture.colorSpace = SRGBColorSpace;
    texture.minFilter = NearestFilter;
    texture.magFilter = NearestFilter;
    const span = ramp.high - ramp.low;
    texture.repeat.set(1 / span, 1);
    texture.offset.set(-ramp.low / span, 0);
    texture.needsUpdate = true;
    if (material.map === null) {
      material.needsUpdate = true;
    }
    material.map?.dispose();
    material.map = texture;
    this.drawnRamp = ramp;
  }

  private finish(item: MeshItem, palette: Palette): void {
    const material = this.mesh.material;
    const solid = item.opacity >= 1;
    if (item.paint === null) {
      material.color.copy(palette[item.finish]);
    } else {
      material.color.set("#ffffff");
    }
    if (material.transparent === solid) {
      material.transparent = !solid;
      material.needsUpdate = true;
    }
    material.opacity = item.opacity;
    // Seen through, only the near wall is drawn: the far one would need sorting.
    material.side = solid ? DoubleSide : FrontSide;
    material.polygonOffset = solid;
    material.polygonOffsetFactor = 1;
    material.polygonOffsetUnits = 1;
    this.mesh.renderOrder = solid ? 0 : 1;
  }

  private searchTree(): MeshBVH {
    if (this.tree === null) {
      // Indirect: the tree must not reorder faces that belong to the caller.
      this.tree = new MeshBVH(this.mesh.geometry, { indirect: true });
    } else if (this.treeIsBehind) {
      this.tree.refit();
    }
    this.treeIsBehind = false;
    return this.tree;
  }
}

/** What a point on a face reads: the nearest corner and the value between the corners. */
function readAt(item: MeshItem, face: number, point: Triple): Reading {
  const corners = [0, 1, 2].map((k) => item.faces[face * 3 + k] ?? 0);
  const away = corners.map((corner) => distance(item.positions, corner, point));
  const nearest = away.indexOf(Math.min(...away));
  const place = { item: item.id, point, vertex: corners[nearest] ?? 0, corners, away };
  return { ...place, value: paintedAt(item.paint, place) };
}

/** The painted value at a place of the surface; null where none counts. */
export function paintedAt(
  paint: Paint | null,
  { vertex, corners, away }: Pick<Reading, "vertex" | "corners" | "away">,
): number | null {
  const covered = (corner: number): boolean => (paint?.cover?.[corner] ?? 1) >= COVERED;
  if (paint === null || !covered(vertex)) {
    return null;
  }
  let sum = 0;
  let weights = 0;
  corners.forEach((corner, k) => {
    if (covered(corner)) {
      const weight = 1 / ((away[k] ?? 0) + 1e-6);
      sum += weight * (paint.values[corner] ?? 0);
      weights += weight;
    }
  });
  return weights === 0 ? null : sum / weights;
}

function distance(positions: Float32Array, vertex: number, point: Triple): number {
  const at = (k: 0 | 1 | 2): number => (positions[vertex * 3 + k] ?? 0) - point[k];
  return Math.hypot(at(0), at(1), at(2));
}
