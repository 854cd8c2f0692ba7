/** The picture of the limb: draws a scene on demand and tells what the pointer touches. */

import {
  Box3,
  Matrix4,
  OrthographicCamera,
  type Ray,
  Raycaster,
  Vector2,
  Vector3,
  WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { type Box, boxesOf, KEEPS_CLEAR } from "./boxes";
import { DrawnScene } from "./drawn-scene";
import { type HandleEvents, HandleLayer } from "./handles";
import { Lens } from "./lens";
import { MarkerLayer } from "./markers";
import { describeView, ScaleBar, Triad } from "./overlay";
import { type Palette, readPalette } from "./palette";
import { type PointerEvents, PointerWatch, type Spot } from "./pointer-watch";
import { sameItems } from "./same-items";
import type { Reading, Scene, Triple } from "./scene";
import { HALF_VIEW_MM, lookFrom, type ViewName, viewDirection, zoomToFit } from "./views";

/** Where the camera stands and what it looks at. */
export interface Pose {
  readonly position: Vector3;
  readonly target: Vector3;
  readonly zoom: number;
}

/** What turns and fits a picture, or several that move together. */
export type Steered = Pick<LimbViewer, "look" | "fit" | "orbit" | "zoomBy">;

export interface ViewerEvents extends PointerEvents, Partial<HandleEvents> {
  readonly onView: (description: string) => void;
  /** A marker is shown elsewhere while it is dragged; null puts it back. */
  readonly onMarkerPreview?: (id: string, at: Triple | null) => void;
}

const ORBIT_STEP = Math.PI / 24;
const CLOSEST_ZOOM = 40;
const FARTHEST_ZOOM = 0.05;
/** A point this far behind the surface counts as hidden by it. */
const HIDDEN_MM = 3;
/** By this share of its size what is shown has to change for the picture to be fitted anew. */
const OTHER_BOX = 0.06;
const QUITE_OTHER_BOX = 0.6;

export class LimbViewer {
  private readonly host: HTMLElement;
  private readonly events: ViewerEvents;
  private readonly renderer: WebGLRenderer;
  private readonly camera = new OrthographicCamera();
  private readonly drawn = new DrawnScene(this.camera);
  private readonly controls: OrbitControls;
  private readonly markers: MarkerLayer;
  private readonly handles: HandleLayer;
  private readonly triad = new Triad();
  private readonly scaleBar = new ScaleBar();
  private readonly lens = new Lens();
  private readonly pointer: PointerWatch;
  private readonly watchers = new Set<() => void>();
  private readonly resizing: ResizeObserver;
  private readonly raycaster = new Raycaster();
  private palette: Palette;
  private scene: Scene = { meshes: [], lines: [], markers: [], outward: 1 };
  private inches = false;
  /** All that was shown when the picture was last fitted, what it was fitted to, and how. */
  private fitted = {
    box: new Box3(),
    to: new Box3(),
    seenAs: { matrixWorld: new Matrix4() },
    zoom: 0,
    target: new Vector3(),
  };
  private frame = 0;
  /** What is drawn is not what is to be seen; what lies over it, as the marks, is placed anyway. */
  private pictureIsBehind = true;
  /** The camera as it was last told or taken over. */
  private pose: Pose | null = null;
  /** Told with each frame that shows the camera moved here. */
  onPose: ((pose: Pose) => void) | null = null;

  /** Throws when the browser cannot draw in three dimensions. */
  constructor(host: HTMLElement, events: ViewerEvents) {
    this.host = host;
    this.events = events;
    this.renderer = new WebGLRenderer({ antialias: !drawsInSoftware(), alpha: true });
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.palette = readPalette(host);
    this.camera.up.set(0, 0, 1);
    this.camera.near = 1;
    this.camera.far = 6000;
    const canvas = this.renderer.domElement;
    // The browser may take the graphics away for a while; what comes back is blank.
    canvas.addEventListener("webglcontextrestored", this.invalidate);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.addEventListener("change", this.invalidate);
    this.controls.minZoom = FARTHEST_ZOOM;
    this.controls.maxZoom = CLOSEST_ZOOM;
    this.pointer = new PointerWatch(
      {
        canvas,
        controls: this.controls,
        read: this.read,
        preview: this.preview,
        markerSpot: (id) => this.markers.spot(id),
        lens: this.enlarge,
      },
      events,
    );
    this.markers = new MarkerLayer({
      onMarker: events.onMarker,
      onGrab: (id, event) => this.pointer.grab(id, event),
      onPress: (event) => this.pointer.passOn(event),
    });
    this.handles = new HandleLayer(
      {
        onHandle: (...args) => events.onHandle?.(...args),
        onHandleGivenUp: (...args) => events.onHandleGivenUp?.(...args),
        onHandleStepped: (...args) => events.onHandleStepped?.(...args),
      },
      (event) => this.read(event)?.point ?? null,
    );
    host.append(
      canvas,
      this.markers.element,
      this.handles.element,
      this.triad.element,
      this.scaleBar.element,
      this.lens.element,
    );
    this.resizing = new ResizeObserver(this.resize);
    this.resizing.observe(host);
    this.look("oblique");
    this.resize();
  }

  show(scene: Scene): void {
    // A marker that is dragged stays with the pointer while a scene tells nothing new of any.
    const markersStay = sameItems(this.scene.markers, scene.markers);
    this.scene = scene;
    const looksOtherwise = this.drawn.show(scene.meshes, scene.lines, this.palette);
    this.pictureIsBehind ||= looksOtherwise;
    if (!markersStay) {
      this.markers.update(scene.markers);
    }
    this.handles.update(scene.handles ?? []);
    this.fitIfOfOtherSize();
    this.refresh();
  }

  /** Look from a standard direction; the centre and the size in the picture stay. */
  look(view: ViewName): void {
    lookFrom(this.camera, this.controls.target, viewDirection(view, this.scene));
    this.controls.update();
    this.invalidate();
  }

  /** The box around everything that is shown. */
  bounds(): Box3 {
    return this.drawn.bounds();
  }

  /** Bring everything that is shown, or a given box, into the picture. */
  fit(box: Box3 = this.bounds()): void {
    if (box.isEmpty()) {
      return;
    }
    const direction = this.camera.position.clone().sub(this.controls.target);
    box.getCenter(this.controls.target);
    lookFrom(this.camera, this.controls.target, direction);
    this.setZoom(zoomToFit(this.camera, box, this.aspect()));
    this.controls.update();
    const { zoom } = this.camera;
    const target = this.controls.target.clone();
    const matrixWorld = this.camera.matrixWorld.clone();
    this.fitted = { box: this.bounds(), to: box.clone(), seenAs: { matrixWorld }, zoom, target };
  }

  /** Look as another picture does. */
  take({ position, target, zoom }: Pose): void {
    this.controls.target.copy(target);
    lookFrom(this.camera, target, position.clone().sub(target));
    this.setZoom(zoom);
    this.controls.update();
    this.pose = this.poseNow();
  }

  /** Turn by steps about the vertical and over the horizontal. */
  orbit(aside: number, over: number): void {
    const offset = this.camera.position.clone().sub(this.controls.target);
    const across = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, 0);
    const tilted = offset.clone().applyAxisAngle(across, -over * ORBIT_STEP);
    const steep = Math.abs(tilted.z) / tilted.length() > 0.9999;
    const next = steep ? offset : tilted;
    next.applyAxisAngle(new Vector3(0, 0, 1), -aside * ORBIT_STEP);
    lookFrom(this.camera, this.controls.target, next);
    this.controls.update();
    this.invalidate();
  }

  /** Bring what lies so many mm to the right and above into the middle. */
  shift(rightMm: number, upMm: number): void {
    const { right, up } = this.screenAxes();
    const by = new Vector3(...right)
      .multiplyScalar(rightMm)
      .addScaledVector(new Vector3(...up), upMm);
    this.camera.position.add(by);
    this.controls.target.add(by);
    this.controls.update();
    this.invalidate();
  }

  /** Touch what lies in the middle of the picture; false when nothing does. */
  touchMiddle(): boolean {
    this.camera.updateMatrixWorld();
    const reading = this.drawn.nearest(this.rayAt(0, 0))?.reading ?? null;
    if (reading !== null) {
      this.events.onTouch(reading);
    }
    return reading !== null;
  }

  zoomBy(factor: number): void {
    this.setZoom(this.camera.zoom * factor);
  }

  setInches(inches: boolean): void {
    this.inches = inches;
    this.refresh();
  }

  /** Directions to the right and upwards on the screen. */
  screenAxes(): { readonly right: Triple; readonly up: Triple } {
    const axis = (column: 0 | 1): Triple => {
      const { x, y, z } = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, column);
      return [x, y, z];
    };
    return { right: axis(0), up: axis(1) };
  }

  /** Show a marker elsewhere until the next scene comes; null puts it back. */
  previewMarker(id: string, at: Triple | null): void {
    this.preview(id, at);
  }

  /** Where a marker is seen, in the page's pixels; null while there is none of that name. */
  markerSpot(id: string): Spot | null {
    return this.markers.spot(id);
  }

  /** Be told whenever the picture was drawn; gives the way to be told no longer. */
  onDrawn(watcher: () => void): () => void {
    this.watchers.add(watcher);
    return () => this.watchers.delete(watcher);
  }

  /** Put what lies over the picture in its place anew, as something else there has moved. */
  arrange(): void {
    this.refresh();
  }

  /** The nearest point of what is shown to be touched. */
  onSurface(at: Triple): Triple {
    return this.drawn.closest(at);
  }

  /** Read the colours anew after a change between light and dark. */
  recolour(): void {
    this.palette = readPalette(this.host);
    this.drawn.recolour(this.palette);
    this.invalidate();
  }

  dispose(): void {
    cancelAnimationFrame(this.frame);
    this.resizing.disconnect();
    this.pointer.dispose();
    this.controls.dispose();
    this.handles.dispose();
    this.drawn.dispose();
    this.renderer.dispose();
    this.host.replaceChildren();
  }

  /** Once a person has zoomed or shifted, only a much larger or smaller scene is fitted anew. */
  private fitIfOfOtherSize(): void {
    const { fitted } = this;
    const box = this.drawn.bounds();
    if (fitted.box.isEmpty()) {
      this.look("oblique");
    }
    const much = this.isUntouched() ? OTHER_BOX : QUITE_OTHER_BOX;
    if (fitted.box.isEmpty() || differ(box, fitted.box) > much) {
      this.fit();
    }
  }

  /** Whether the picture is as it was fitted: nobody has zoomed or shifted it since. */
  private isUntouched(): boolean {
    const { zoom, target } = this.fitted;
    return this.camera.zoom === zoom && this.controls.target.distanceTo(target) < 0.1;
  }

  private poseNow(): Pose {
    const { position, zoom } = this.camera;
    return { position: position.clone(), target: this.controls.target.clone(), zoom };
  }

  private tellPose(): void {
    const now = this.poseNow();
    const before = this.pose;
    const same =
      before?.zoom === now.zoom &&
      before.position.equals(now.position) &&
      before.target.equals(now.target);
    if (!same) {
      this.pose = now;
      this.onPose?.(now);
    }
  }

  private setZoom(zoom: number): void {
    this.camera.zoom = Math.min(CLOSEST_ZOOM, Math.max(FARTHEST_ZOOM, zoom));
    this.camera.updateProjectionMatrix();
    this.invalidate();
  }

  private readonly invalidate = (): void => {
    this.pictureIsBehind = true;
    this.refresh();
  };

  private readonly refresh = (): void => {
    if (this.frame === 0) {
      this.frame = requestAnimationFrame(this.draw);
    }
  };

  private readonly draw = (): void => {
    this.frame = 0;
    const { clientWidth: width, clientHeight: height } = this.host;
    if (width === 0 || height === 0) {
      return;
    }
    this.camera.updateMatrixWorld();
    if (this.pictureIsBehind) {
      this.pictureIsBehind = false;
      this.lens.draw(this.renderer, this.drawn.world, this.camera);
      this.renderer.render(this.drawn.world, this.camera);
    }
    this.triad.place(this.camera, this.scene);
    this.scaleBar.place(this.camera, height, this.inches);
    this.handles.place(this.camera, width, height, this.isHidden);
    // Captions come last: they yield to all else that stands over the picture.
    this.markers.place(this.camera, width, height, this.isHidden, this.keptClear());
    this.events.onView(describeView(this.camera, this.scene));
    this.tellPose();
    for (const watcher of this.watchers) {
      watcher();
    }
  };

  /** Where something stands over the picture that captions must not run into. */
  private keptClear(): Box[] {
    const around = this.host.parentElement?.parentElement ?? this.host;
    return boxesOf(around, `[${KEEPS_CLEAR}]`, this.host);
  }

  private readonly resize = (): void => {
    const { clientWidth: width, clientHeight: height } = this.host;
    if (width === 0 || height === 0) {
      return;
    }
    const untouched = this.isUntouched();
    this.renderer.setSize(width, height);
    this.camera.top = HALF_VIEW_MM;
    this.camera.bottom = -HALF_VIEW_MM;
    this.camera.left = -HALF_VIEW_MM * this.aspect();
    this.camera.right = HALF_VIEW_MM * this.aspect();
    this.camera.updateProjectionMatrix();
    this.drawn.resize(width, height);
    const { to, seenAs } = this.fitted;
    if (untouched && !to.isEmpty()) {
      // As it was turned then: turned otherwise since, it would change its size with every panel.
      this.setZoom(zoomToFit(seenAs, to, this.aspect()));
      this.fitted.zoom = this.camera.zoom;
    }
    // Drawn at once: a resized canvas is blank until then.
    this.pictureIsBehind = true;
    this.draw();
  };

  private aspect(): number {
    return this.host.clientWidth / Math.max(1, this.host.clientHeight);
  }

  private readonly read = (spot: Spot): Reading | null => {
    const { left, top, width, height } = this.renderer.domElement.getBoundingClientRect();
    const x = ((spot.x - left) / width) * 2 - 1;
    const y = 1 - ((spot.y - top) / height) * 2;
    return this.drawn.nearest(this.rayAt(x, y))?.reading ?? null;
  };

  private readonly preview = (id: string, at: Triple | null): void => {
    this.markers.update(
      this.scene.markers.map((item) => (item.id === id && at !== null ? { ...item, at } : item)),
    );
    this.refresh();
    this.events.onMarkerPreview?.(id, at);
  };

  private readonly enlarge = (spot: Spot | null, finger: Spot): void => {
    const { left, top, width, height } = this.renderer.domElement.getBoundingClientRect();
    if (spot === null) {
      this.lens.hide();
    } else {
      const within = ({ x, y }: Spot): Spot => ({ x: x - left, y: y - top });
      this.lens.show(within(spot), within(finger), width, height);
    }
    this.invalidate();
  };

  /** Whether a point lies behind a readable surface as the camera looks now. */
  private readonly isHidden = (at: Triple): boolean => {
    const point = new Vector3(...at);
    const { x, y } = point.clone().project(this.camera);
    const ray = this.rayAt(x, y);
    const hit = this.drawn.nearest(ray);
    return hit !== null && hit.distance < point.distanceTo(ray.origin) - HIDDEN_MM;
  };

  private rayAt(x: number, y: number): Ray {
    this.raycaster.setFromCamera(new Vector2(x, y), this.camera);
    return this.raycaster.ray;
  }
}

/** The largest shift of a side of a box, as a share of the box's size. */
function differ(box: Box3, from: Box3): number {
  if (box.isEmpty()) {
    return 0;
  }
  const size = from.getSize(new Vector3()).length();
  return Math.max(box.min.distanceTo(from.min), box.max.distanceTo(from.max)) / size;
}

/** Software drawing is slow enough without smoothing edges. */
function drawsInSoftware(): boolean {
  const context = document.createElement("canvas").getContext("webgl2");
  const names = context?.getExtension("WEBGL_debug_renderer_info");
  if (!context || !names) {
    return false;
  }
  const name = String(context.getParameter(names.UNMASKED_RENDERER_WEBGL));
  context.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|software/i.test(name);
}
