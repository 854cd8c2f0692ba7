/** Coupling and suspension. */

import type { Degrees, Kg, Mm, Newton } from "../../units/quantities";
import type { CouplingKind, CouplingPlan, Point } from "../document";
import type { Basis } from "./finding";

export type SeatAxis = CouplingPlan["axis"];

export interface Coupling {
  readonly seat: {
    readonly kind: CouplingKind;
    /** Distally along the coupling's axis. */
    readonly axis: Point;
    readonly cap_mm: Point;
    readonly face_mm: Point;
    readonly base_mm: Point;
    readonly screws_mm: readonly Point[];
    readonly exit_direction: Point;
    readonly target_mm: Point;
    readonly target_axis: Point;
    readonly floor_mm: Mm;
    readonly mouth_mm: Mm;
    readonly tilt_deg: Degrees;
    readonly offset_mm: Mm;
    readonly body_diameter_mm: Mm;
    readonly body_height_mm: Mm;
  };
  readonly height: {
    readonly datum_floor_mm: Mm;
    readonly datum_basis: Basis;
    readonly items: readonly {
      readonly name: string;
      readonly height_mm: Mm;
      readonly basis: Basis;
      /** Key of the catalogue's entry that gives it; empty for none. */
      readonly part: string;
    }[];
    readonly pylon_mm: Mm;
    readonly pylon_minimum_mm: Mm;
    readonly slack_mm: Mm;
    readonly remembered_mm: Mm;
    readonly clearance_mm: Mm;
  };
  readonly withdrawal: Withdrawal;
  readonly limb_withdrawal: Withdrawal;
  readonly dummy_withdrawal: Withdrawal | null;
  readonly axes: readonly {
    readonly axis: SeatAxis;
    readonly tilt_deg: Degrees;
    readonly offset_mm: Mm;
    readonly adapter_deg: Degrees;
    readonly taken: boolean;
  }[];
  /** Parts of the catalogue that would fit, the best first; empty when the parts fit. */
  readonly alternatives: readonly {
    readonly swaps: readonly {
      readonly role: string;
      readonly key: string;
      readonly kind: string;
      readonly saves_mm: Mm;
      readonly capacity_n: Newton | null;
      readonly mass_kg: Kg | null;
      readonly basis: Basis;
    }[];
    readonly spare_mm: Mm;
    readonly capacity_n: Newton | null;
    readonly mass_kg: Kg | null;
    readonly basis: Basis;
  }[];
  /** Direction nearest to the plan's that is free of trim line and shin; null without one. */
  readonly free_exit_deg: Degrees | null;
}

/** Whether something comes out of the socket along the coupling's axis, as if rigid. */
export interface Withdrawal {
  readonly catch_mm: Mm;
  readonly level_mm: Mm;
  readonly angle_deg: Degrees;
  readonly narrow_level_mm: Mm;
  /** Level that the trim line would have to stand at there, for it to pass. */
  readonly trim_to_mm: Mm | null;
  readonly free_catch_mm: Mm;
  readonly free_tilt_deg: Degrees;
  readonly free_angle_deg: Degrees;
}
