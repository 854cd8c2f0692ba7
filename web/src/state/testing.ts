/** A small case and a service that answers as a test says; for tests alone. */

import type { ArraySet, Service } from "../api/client";
import type { CaseDocument } from "../api/document";
import { ServiceLost, ServiceRefused } from "../api/errors";
import type {
  ArrayEntries,
  ArrayEntry,
  Evaluation,
  FirstLook,
  Look,
  OpenedCase,
  SavedCase,
  StoredCase,
} from "../api/replies";
import { JOB_ORDER } from "./stage-state";

export function smallDocument(inset: number | null = null): CaseDocument {
  return {
    title: "A case",
    person: { code: "p1", side: "left", mass_kg: 80 },
    capture: { landmarks: { unit: "mm", points: { fibular_head: [1, 2, 3] }, guessed: [] } },
    shape: { areas: [{ name: "popliteal", depth_mm: -4 }], take_up: [] },
    align: { foot_inset_mm: inset },
  } as unknown as CaseDocument;
}

export function smallEvaluation(
  revision: number,
  arrays: Record<string, ArrayEntry> = {},
): Evaluation {
  const ready = { state: "ready", error: null, findings: [], results: { of: revision } };
  return {
    revision,
    elapsed_ms: 1,
    stages: {
      assess: ready,
      capture: ready,
      shape: ready,
      couple: ready,
      align: ready,
      prove: ready,
    },
    findings: [],
    cautions: ["Take care."],
    arrays,
  } as unknown as Evaluation;
}

type Call = keyof Service;

function lookWords({ since, upto, loadCase }: Look): string {
  const stages = since === upto ? upto : `${since} to ${upto}`;
  return loadCase === null ? stages : `${stages} ${loadCase}`;
}

/** Stores what it is given under a rising revision, and notes every call in order. */
export class FakeService implements Service {
  readonly calls: string[] = [];
  /** Of what the folder holds. */
  record = "a";
  stored: StoredCase = { revision: 1, document: smallDocument() };
  offers: Record<string, ArrayEntry> = {};
  /** Thrown once by the next call of that name. */
  readonly failures = new Map<Call, Error>();
  private picked: { readonly base: number; readonly name: string } | null = null;
  /** Whether an answer to what is stored brings the first look that was asked for. */
  looksAtOnce = true;
  /** Whether the next evaluation is given up, as one is that the case changed under. */
  givesUp = false;
  /** Calls whose next reply is lost, though what they ask for is done. */
  readonly lostReplies = new Set<Call>();
  /** Awaited by every call of that name, so that a test can hold a reply back. */
  readonly gates = new Map<Call, Promise<void>>();

  private async called(call: Call, note = ""): Promise<void> {
    this.calls.push(note === "" ? call : `${call} ${note}`);
    await this.gates.get(call);
    const failure = this.failures.get(call);
    if (failure !== undefined) {
      this.failures.delete(call);
      throw failure;
    }
  }

  holdTo(): void {}

  async openCase(): Promise<OpenedCase> {
    await this.called("openCase");
    return { ...this.stored, record: this.record };
  }

  async saveCase(
    _id: string,
    base: number,
    document: CaseDocument,
    asked: Look | null,
  ): Promise<SavedCase> {
    const told = asked === null ? "" : `, look ${lookWords(asked)}`;
    await this.called("saveCase", `on ${base.toString()}${told}`);
    const stored = this.store("saveCase", base, structuredClone(document));
    return { ...stored, look: asked && this.looksAtOnce ? this.look(asked) : null };
  }

  async evaluate(): Promise<Evaluation | null> {
    await this.called("evaluate", this.stored.revision.toString());
    if (this.givesUp) {
      this.givesUp = false;
      return null;
    }
    return smallEvaluation(this.stored.revision, this.offers);
  }

  async lookFirst(_id: string, asked: Look): Promise<FirstLook> {
    await this.called("lookFirst", lookWords(asked));
    return this.look(asked);
  }

  private look({ since, upto }: Look): FirstLook {
    const { stages, ...rest } = smallEvaluation(this.stored.revision, this.offers);
    const [first, last] = [JOB_ORDER.indexOf(since), JOB_ORDER.indexOf(upto)];
    const told = JOB_ORDER.slice(first, last + 1).map((name) => [name, stages[name]]);
    return { ...rest, stages: Object.fromEntries(told) as FirstLook["stages"], pressure: null };
  }

  async arrays(_id: string, entries: ArrayEntries): Promise<ArraySet> {
    const asked = Object.entries(entries);
    await this.called("arrays", asked.map(([name, { key }]) => `${name} ${key}`).join(", "));
    return new Map(asked.map(([name]) => [name, new Float32Array(3)]));
  }

  async pickLandmark(_id: string, base: number, name: string): Promise<StoredCase> {
    await this.called("pickLandmark", `${name} on ${base.toString()}`);
    if (this.picked?.base === base && this.picked.name === name) {
      // Asked again when the first answer was lost.
      return this.stored;
    }
    if (base === this.stored.revision) {
      this.picked = { base, name };
    }
    const { document } = structuredClone(this.stored);
    const points = { ...document.capture.landmarks.points, [name]: [9, 9, 9] as const };
    const landmarks = { ...document.capture.landmarks, points };
    const capture = { ...document.capture, landmarks };
    return this.store("pickLandmark", base, { ...document, capture });
  }

  private store(call: Call, base: number, document: CaseDocument): StoredCase {
    const { revision } = this.stored;
    if (base !== revision) {
      throw new ServiceRefused(
        409,
        `Changed elsewhere: not revision ${base.toString()}.`,
        null,
        [],
      );
    }
    this.stored = { revision: revision + 1, document };
    if (this.lostReplies.delete(call)) {
      throw new ServiceLost(null);
    }
    return this.stored;
  }

  info = () => Promise.reject(new Error("not asked here"));
  cases = () => Promise.reject(new Error("not asked here"));
  takeScan = () => Promise.reject(new Error("not asked here"));
  scanArrays = () => Promise.reject(new Error("not asked here"));
  beginCase = () => Promise.reject(new Error("not asked here"));
  beginDemo = () => Promise.reject(new Error("not asked here"));
  duplicateCase = () => Promise.reject(new Error("not asked here"));
  landmarkPreview = () => Promise.reject(new Error("not asked here"));
  touched = () => Promise.reject(new Error("not asked here"));
  catalogue = () => Promise.reject(new Error("not asked here"));
  whatIf = () => Promise.reject(new Error("not asked here"));
  measure = () => Promise.reject(new Error("not asked here"));
  revisions = () => Promise.reject(new Error("not asked here"));
  readRevision = () => Promise.reject(new Error("not asked here"));
  revisionEvaluation = () => Promise.reject(new Error("not asked here"));
  planChanges = () => Promise.reject(new Error("not asked here"));
  takeAgain = () => Promise.reject(new Error("not asked here"));
  earlierPressures = () => Promise.reject(new Error("not asked here"));
  castingSheet = () => Promise.reject(new Error("not asked here"));
  startConfirming = () => Promise.reject(new Error("not asked here"));
  confirmation = () => Promise.reject(new Error("not asked here"));
  jobs = () => Promise.reject(new Error("not asked here"));
  capturing = () => Promise.reject(new Error("not asked here"));
  cancel = () => Promise.reject(new Error("not asked here"));
  section = () => Promise.reject(new Error("not asked here"));
  archiveCase = () => Promise.reject(new Error("not asked here"));
  startMaking = () => Promise.reject(new Error("not asked here"));
  job = () => Promise.reject(new Error("not asked here"));
  download = () => Promise.reject(new Error("not asked here"));
}
