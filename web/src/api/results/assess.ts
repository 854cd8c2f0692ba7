/** What assessing the person tells. */

import type { MetrePerSecond, Mm, Newton } from "../../units/quantities";
import type { Basis } from "./finding";

export interface Assessment {
  readonly body_weight_n: Newton;
  readonly speed_m_s: MetrePerSecond;
  readonly speed_basis: Basis;
  readonly load_level: string | null;
  readonly foot_length_mm: Mm;
  readonly foot_length_basis: Basis;
  readonly scores: readonly ScoreReading[];
  readonly suspensions: readonly SuspensionAdvice[];
  readonly socket_words: readonly string[];
}

export interface ScoreReading {
  readonly measure: string;
  readonly value: number;
  readonly unit: string;
  readonly on: string;
  readonly class_by_cut_off: string | null;
  readonly class_by_nearest_mean: string | null;
  readonly change: number | null;
  readonly least_change: number | null;
}

export interface Reason {
  readonly text: string;
  readonly source: string;
}

export interface SuspensionAdvice {
  readonly kind: string;
  readonly speaks_for: readonly Reason[];
  readonly think_twice: readonly Reason[];
  readonly avoid: readonly Reason[];
  readonly not_asked: readonly string[];
}
