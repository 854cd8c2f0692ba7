/** The service's replies. */

import type { CaseDocument, Side } from "./document";
import type { Finding, ResultsByStage } from "./results";

export interface Info {
  readonly version: string;
  readonly stages: readonly { readonly name: string; readonly question: string }[];
  readonly cautions: readonly string[];
  readonly areas: readonly { readonly name: string; readonly loads: boolean }[];
}

export interface CaseEntry {
  readonly id: string;
  readonly title: string;
  readonly side: Side;
  readonly invented: boolean;
}

export interface StoredCase {
  readonly revision: number;
  readonly document: CaseDocument;
}

export interface StageReply<Results> {
  readonly state: "ready" | "failed" | "blocked" | "not asked";
  readonly error: { readonly message: string; readonly where: string | null } | null;
  readonly findings: readonly Finding[];
  readonly results: Results | null;
}

export type StageReplies = {
  readonly [Name in keyof ResultsByStage]?: StageReply<ResultsByStage[Name]>;
};

export interface ArrayEntry {
  readonly key: string;
  readonly dtype: "float32" | "uint32" | "uint8";
  readonly shape: readonly number[];
}

export interface Evaluation {
  readonly revision: number;
  readonly elapsed_ms: number;
  readonly stages: StageReplies;
  readonly findings: readonly Finding[];
  readonly cautions: readonly string[];
  readonly arrays: Readonly<Record<string, ArrayEntry>>;
}

export interface Job {
  readonly state: "running" | "done" | "failed";
  readonly progress: number;
  readonly text: string;
  readonly files: readonly {
    readonly name: string;
    readonly url: string;
    readonly bytes: number;
  }[];
  readonly error: string | null;
}

export interface Problem {
  readonly path: string;
  readonly text: string;
}
