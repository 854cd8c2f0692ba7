/** Two pictures with one camera: what turns, shifts or enlarges one does the same to the other. */

import type { LimbViewer, Steered } from "./limb-viewer";
import type { ViewName } from "./views";

export class LinkedViewers implements Steered {
  private readonly first: LimbViewer;
  private readonly second: LimbViewer;

  constructor(first: LimbViewer, second: LimbViewer) {
    this.first = first;
    this.second = second;
    first.onPose = (pose) => second.take(pose);
    second.onPose = (pose) => first.take(pose);
  }

  look(view: ViewName): void {
    this.first.look(view);
  }

  orbit(aside: number, over: number): void {
    this.first.orbit(aside, over);
  }

  zoomBy(factor: number): void {
    this.first.zoomBy(factor);
  }

  /** Bring what either shows into both. */
  fit(): void {
    this.first.fit(this.first.bounds().union(this.second.bounds()));
  }

  unlink(): void {
    this.first.onPose = null;
    this.second.onPose = null;
  }
}
