/** What is found, and what it rests on. */

export type Basis = "measured" | "given" | "estimated" | "guessed" | "default";

export type Severity = "ok" | "note" | "warning" | "not established" | "stop";

export interface Finding {
  readonly stage: string;
  readonly code: string;
  readonly severity: Severity;
  readonly text: string;
  readonly where: string;
  readonly value: number | null;
  readonly limit: number | null;
  readonly unit: string;
  readonly basis: Basis;
  readonly source: string | null;
  /** Why the practitioner accepts it as it stands; "" when they have not. */
  readonly accepted: string;
  /** What would change it, as it reads after "Would change it:"; "" where nothing is known to. */
  readonly remedy: string;
  /** Path of the entry in the case document that would change it, or "". */
  readonly entry: string;
  /** The value is to reach the limit, and not to stay under it. */
  readonly at_least: boolean;
  /** Times by which the value is to stay on the good side of the limit. */
  readonly margin: number;
  /** The limit is only what is usual: beside it, nothing is forbidden. */
  readonly usual: boolean;
}
