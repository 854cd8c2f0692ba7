/** What stands on either side of a comparison, whole: plan, results, findings, arrays. */

import type { Service } from "../api/client";
import type { CaseDocument } from "../api/document";
import type {
  ArrayEntries,
  ArrayEntry,
  Confirmation,
  Evaluation,
  StageReplies,
  StoredCase,
} from "../api/replies";
import type { Finding, ResultsByStage, StageName } from "../api/results";
import type { RevisionPair } from "../browser/route";
import { labelHead } from "../words/words";

export interface Shown {
  readonly revision: number;
  /** What it is, where both are of one revision: "Finite elements". */
  readonly engine: string | null;
  readonly document: CaseDocument;
  readonly stages: StageReplies;
  readonly findings: readonly Finding[];
  readonly cautions: readonly string[];
  readonly arrays: ArrayEntries;
}

export interface ShownPair {
  readonly before: Shown;
  readonly after: Shown;
}

export async function loadPair(
  service: Service,
  id: string,
  compared: RevisionPair | "confirmed",
): Promise<ShownPair> {
  if (compared === "confirmed") {
    return loadConfirmed(service, id);
  }
  const { before, after } = compared;
  const [first, second] = await Promise.all([
    loadRevision(service, id, before),
    before === after ? null : loadRevision(service, id, after),
  ]);
  return { before: first, after: second ?? first };
}

async function loadRevision(service: Service, id: string, number: number): Promise<Shown> {
  const [stored, evaluation] = await Promise.all([
    service.readRevision(id, number),
    service.revisionEvaluation(id, number),
  ]);
  return shownRevision(stored, evaluation);
}

async function loadConfirmed(service: Service, id: string): Promise<ShownPair> {
  const found = await service.confirmation(id);
  if (found === null || !found.finite_elements) {
    throw new Error(
      "Nothing is confirmed by finite elements yet: start it in Prove, “How far to trust it”.",
    );
  }
  const quick = await loadRevision(service, id, found.revision);
  return {
    before: { ...quick, engine: quickName(quick) },
    after: shownConfirmation(quick, found),
  };
}

/** The case's own engine by its name. */
function quickName(quick: Shown): string {
  const label = resultsOf(quick, "prove")?.interface.label;
  return label === undefined ? "Quick model" : labelHead(label);
}

export function shownRevision(stored: StoredCase, evaluation: Evaluation): Shown {
  const { stages, findings, cautions, arrays } = evaluation;
  const { revision, document } = stored;
  return { revision, engine: null, document, stages, findings, cautions, arrays };
}

/** The same revision with the pressures and findings of its proof by finite elements. */
export function shownConfirmation(quick: Shown, found: Confirmation): Shown {
  const confirmed = Object.entries(found.arrays).map(([name, entry]): [string, ArrayEntry] => [
    name.replace(/^confirmed\./, "pressure."),
    entry,
  ]);
  const others = quick.findings.filter(({ stage }) => stage !== "prove");
  return {
    ...quick,
    engine: "Finite elements",
    stages: { ...quick.stages, prove: found.prove },
    findings: [...others, ...found.prove.findings],
    arrays: { ...quick.arrays, ...Object.fromEntries(confirmed) },
  };
}

/** A stage's results; null where it has none. */
export function resultsOf<Name extends StageName>(
  shown: Shown,
  name: Name,
): ResultsByStage[Name] | null {
  const reply = shown.stages[name];
  return reply?.state === "ready" ? (reply.results as ResultsByStage[Name] | null) : null;
}

/** Why a stage has no results, in the service's words; null where it has some. */
export function refusalOf(shown: Shown, name: StageName): string | null {
  const reply = shown.stages[name];
  return reply?.state === "failed" || reply?.state === "blocked"
    ? (reply.error?.message ?? "It was not computed.")
    : null;
}

/** Whether both have the same surface, corner by corner, so that places are the same places. */
export function sameSurface({ before, after }: ShownPair): boolean {
  return ["limb.positions", "limb.faces"].every((name) => {
    const key = before.arrays[name]?.key;
    return key !== undefined && key === after.arrays[name]?.key;
  });
}
