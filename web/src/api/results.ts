/** What each stage computes, as the service sends it (meshes and large arrays come apart). */

import type { Alignment } from "./results/align";
import type { Assessment } from "./results/assess";
import type { Limb } from "./results/capture";
import type { Coupling } from "./results/couple";
import type { FitResult } from "./results/fit";
import type { Made } from "./results/make";
import type { Proof } from "./results/prove";
import type { SocketShape } from "./results/shape";

export type * from "./results/align";
export type * from "./results/assess";
export type * from "./results/capture";
export type * from "./results/couple";
export type * from "./results/finding";
export type * from "./results/fit";
export type * from "./results/make";
export type * from "./results/pressure";
export type * from "./results/prove";
export type * from "./results/shape";

/** Results by stage. A stage that the service adds later shows its findings alone. */
export interface ResultsByStage {
  readonly assess: Assessment;
  readonly capture: Limb;
  readonly shape: SocketShape;
  readonly couple: Coupling;
  readonly align: Alignment;
  readonly prove: Proof;
  readonly make: Made;
  readonly fit: FitResult;
}

export type StageName = keyof ResultsByStage;
