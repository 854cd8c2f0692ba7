/** The one place that talks to the service; nothing else in the page makes a request. */

import createClient from "openapi-fetch";
import type { CaseDocument, Point } from "./document";
import { ServiceLost, ServiceRefused } from "./errors";
import type {
  ArrayEntries,
  BeginCase,
  CaseListing,
  CaseSection,
  Catalogue,
  Confirmation,
  Doing,
  EarlierPressures,
  Evaluation,
  FirstLook,
  Info,
  Job,
  LandmarkPreview,
  Look,
  Measured,
  MeshLevel,
  Move,
  MoveOutcome,
  OpenedCase,
  PlanChanges,
  RevisionEntry,
  SavedCase,
  ScanEntry,
  StoredCase,
} from "./replies";
import type { paths } from "./schema";

export type RawArray = Float32Array | Uint32Array | Uint8Array;
export type ArraySet = ReadonlyMap<string, RawArray>;

type Sent = [number, number, number];

/** A case's identifier in an address, and what is asked of it. */
const ASKS_OF_CASE = /^\/api\/cases\/([^/]+)(.*)$/;

export interface Service {
  info(): Promise<Info>;
  cases(): Promise<CaseListing>;
  takeScan(file: File): Promise<ScanEntry>;
  scanArrays(entries: ArrayEntries): Promise<ArraySet>;
  beginCase(from: BeginCase): Promise<string>;
  /** How far a case is that is being begun from an uploaded scan. */
  capturing(scan: string): Promise<Doing | null>;
  beginDemo(): Promise<string>;
  duplicateCase(id: string): Promise<string>;
  archiveCase(id: string, archived: boolean): Promise<void>;
  openCase(id: string): Promise<OpenedCase>;
  /** From here on nothing is asked of a case but of this record: its folder may come to hold another. */
  holdTo(id: string, record: string): void;
  saveCase(id: string, base: number, document: CaseDocument, look: Look | null): Promise<SavedCase>;
  /** Null where the case was changed meanwhile: who changed it asks again. */
  evaluate(id: string): Promise<Evaluation | null>;
  /** Some stages of the case that stands, with the pressure of one load case. */
  lookFirst(id: string, look: Look): Promise<FirstLook>;
  /** All at once, by name. */
  arrays(id: string, entries: ArrayEntries): Promise<ArraySet>;
  section(id: string, levelMm: number): Promise<CaseSection>;
  pickLandmark(id: string, base: number, name: string, at: Point): Promise<StoredCase>;
  /** What the limb frame becomes with a landmark held elsewhere; nothing is stored. */
  landmarkPreview(id: string, name: string, at: Point): Promise<LandmarkPreview>;
  /** Where on the scan a point touched on the limb lies, mm. */
  touched(id: string, at: Point): Promise<Point>;
  catalogue(id: string): Promise<Catalogue>;
  /** What a change of the alignment would do; nothing is stored. */
  whatIf(id: string, move: Move): Promise<MoveOutcome>;
  /** Distance between two touched points. */
  measure(id: string, from: Point, to: Point): Promise<Measured>;
  revisions(id: string): Promise<readonly RevisionEntry[]>;
  readRevision(id: string, revision: number): Promise<StoredCase>;
  revisionEvaluation(id: string, revision: number): Promise<Evaluation>;
  planChanges(id: string, before: number, after: number): Promise<PlanChanges>;
  /** Store an earlier revision's document as a new one on top of the base. */
  takeAgain(id: string, revision: number, base: number): Promise<StoredCase>;
  earlierPressures(id: string, revision: number): Promise<EarlierPressures>;
  castingSheet(id: string): Promise<Blob>;
  /** Null computes bands and what-if cases with the case's own engine. */
  startConfirming(id: string, base: number, mesh: MeshLevel | null): Promise<string>;
  /** Null before any run. */
  confirmation(id: string): Promise<Confirmation | null>;
  /** What the case is busy with and the last of what it was, the newest first. */
  jobs(id: string): Promise<readonly Job[]>;
  cancel(job: string): Promise<void>;
  startMaking(id: string, base: number): Promise<string>;
  job(id: string): Promise<Job>;
  download(url: string): Promise<Blob>;
}

/** A service at the page's own origin. */
export function connect(token: string): Service {
  const headers = { "X-Limbwright-Token": token };
  const records = new Map<string, string>();
  // Not by a middleware: an edit is to be on its way before the page is drawn anew for it.
  const asking = (request: Request): Promise<Response> => {
    const [, id = "", within] = ASKS_OF_CASE.exec(new URL(request.url).pathname) ?? [];
    const record = records.get(decodeURIComponent(id));
    const opens = within === "" && request.method === "GET";
    if (record !== undefined && !opens) {
      request.headers.set("X-Limbwright-Record", record);
    }
    return answered(request);
  };
  const api = createClient<paths>({ baseUrl: location.origin, headers, fetch: asking });
  const at = (id: string) => ({ params: { path: { case_id: id } } });
  const revision = (id: string, number: number) => ({
    params: { path: { case_id: id, number } },
  });
  return {
    info: async () => got<Info>(await api.GET("/api/info")),
    cases: async () => got<CaseListing>(await api.GET("/api/cases")),
    takeScan: async (file) => {
      const body = new FormData();
      body.set("file", file);
      const url = new URL("/api/scans", location.origin);
      const reply = await answered(new Request(url, { method: "POST", headers, body }));
      return (await reply.json()) as ScanEntry;
    },
    scanArrays: async (entries) => {
      const params = { query: { key: keysOf(entries) } };
      const reply = await api.GET("/api/scans/arrays", { params, parseAs: "arrayBuffer" });
      return apart(got<ArrayBuffer>(reply), entries);
    },
    beginCase: async ({ landmarks, ...from }) => {
      const points = Object.fromEntries(
        Object.entries(landmarks.points).map(([name, [x, y, z]]) => [name, [x, y, z] as Sent]),
      );
      const marks = { ...landmarks, points, guessed: [...landmarks.guessed] };
      const person = { ...from.person, scores: [...from.person.scores] };
      const body = { ...from, person, landmarks: marks };
      return got<{ id: string }>(await api.POST("/api/cases", { body })).id;
    },
    capturing: async (scan) =>
      got<Doing | null>(await api.GET("/api/scans/{scan}/capture", { params: { path: { scan } } })),
    beginDemo: async () => got<{ id: string }>(await api.POST("/api/demo-case")).id,
    duplicateCase: async (id) =>
      got<{ id: string }>(await api.POST("/api/cases/{case_id}/duplicate", at(id))).id,
    archiveCase: async (id, archived) => {
      await api.POST("/api/cases/{case_id}/archive", { ...at(id), body: { archived } });
    },
    openCase: async (id) => got<OpenedCase>(await api.GET("/api/cases/{case_id}", at(id))),
    holdTo: (id, record) => {
      records.set(id, record);
    },
    saveCase: async (id, base, document, look) => {
      const body = { base_revision: base, document: { ...document }, look: look && asked(look) };
      return got<SavedCase>(await api.PUT("/api/cases/{case_id}", { ...at(id), body }));
    },
    evaluate: async (id) =>
      got<Evaluation | null>(await api.GET("/api/cases/{case_id}/evaluation", at(id))),
    lookFirst: async (id, look) => {
      const params = { path: { case_id: id }, query: asked(look) };
      return got<FirstLook>(await api.GET("/api/cases/{case_id}/first-look", { params }));
    },
    arrays: async (id, entries) => {
      const params = { path: { case_id: id }, query: { key: keysOf(entries) } };
      const parseAs = "arrayBuffer";
      const reply = await api.GET("/api/cases/{case_id}/arrays", { params, parseAs });
      return apart(got<ArrayBuffer>(reply), entries);
    },
    section: async (id, levelMm) => {
      const params = { path: { case_id: id }, query: { level_mm: levelMm } };
      return got<CaseSection>(await api.GET("/api/cases/{case_id}/section", { params }));
    },
    pickLandmark: async (id, base, name, touched) => {
      const body = { base_revision: base, name, point_patient_mm: sent(touched) };
      return got<StoredCase>(
        await api.POST("/api/cases/{case_id}/pick-landmark", { ...at(id), body }),
      );
    },
    landmarkPreview: async (id, name, held) => {
      const body = { name, point_patient_mm: sent(held) };
      return got<LandmarkPreview>(
        await api.POST("/api/cases/{case_id}/landmark-preview", { ...at(id), body }),
      );
    },
    touched: async (id, touched) => {
      const body = { point_patient_mm: sent(touched) };
      return got<{ point_mm: Point }>(
        await api.POST("/api/cases/{case_id}/touched", { ...at(id), body }),
      ).point_mm;
    },
    catalogue: async (id) =>
      got<Catalogue>(await api.GET("/api/cases/{case_id}/catalogue", at(id))),
    whatIf: async (id, move) =>
      got<MoveOutcome>(
        await api.POST("/api/cases/{case_id}/what-if", {
          ...at(id),
          body: { ...NO_MOVE, ...move },
        }),
      ),
    measure: async (id, from, to) => {
      const body = { start_patient_mm: sent(from), end_patient_mm: sent(to) };
      return got<Measured>(await api.POST("/api/cases/{case_id}/measure", { ...at(id), body }));
    },
    revisions: async (id) =>
      got<{ revisions: readonly RevisionEntry[] }>(
        await api.GET("/api/cases/{case_id}/revisions", at(id)),
      ).revisions,
    readRevision: async (id, number) =>
      got<StoredCase>(
        await api.GET("/api/cases/{case_id}/revisions/{number}", revision(id, number)),
      ),
    revisionEvaluation: async (id, number) =>
      got<Evaluation>(
        await api.GET("/api/cases/{case_id}/revisions/{number}/evaluation", revision(id, number)),
      ),
    planChanges: async (id, number, after) => {
      const params = { path: { case_id: id, number, after } };
      return got<PlanChanges>(
        await api.GET("/api/cases/{case_id}/revisions/{number}/changes/{after}", { params }),
      );
    },
    takeAgain: async (id, number, base) =>
      got<StoredCase>(
        await api.POST("/api/cases/{case_id}/revisions/{number}/again", {
          ...revision(id, number),
          body: { base_revision: base },
        }),
      ),
    earlierPressures: async (id, number) => {
      const params = { path: { case_id: id, number } };
      return got<EarlierPressures>(
        await api.GET("/api/cases/{case_id}/revisions/{number}/pressures", { params }),
      );
    },
    castingSheet: async (id) => {
      const params = { path: { case_id: id } };
      return got<Blob>(
        await api.GET("/api/cases/{case_id}/casting-sheet", { params, parseAs: "blob" }),
      );
    },
    startConfirming: async (id, base, mesh) => {
      const body = { base_revision: base, finite_elements: mesh !== null, mesh: mesh ?? "medium" };
      return got<{ job: string }>(
        await api.POST("/api/cases/{case_id}/confirm", { ...at(id), body }),
      ).job;
    },
    confirmation: async (id) =>
      got<Confirmation | null>(await api.GET("/api/cases/{case_id}/confirmation", at(id))),
    jobs: async (id) =>
      got<{ jobs: readonly Job[] }>(await api.GET("/api/cases/{case_id}/jobs", at(id))).jobs,
    cancel: async (id) => {
      await api.DELETE("/api/jobs/{job_id}", { params: { path: { job_id: id } } });
    },
    startMaking: async (id, base) => {
      const body = { base_revision: base };
      return got<{ job: string }>(await api.POST("/api/cases/{case_id}/make", { ...at(id), body }))
        .job;
    },
    job: async (id) =>
      got<Job>(await api.GET("/api/jobs/{job_id}", { params: { path: { job_id: id } } })),
    download: async (url) => (await answered(new Request(url, { headers }))).blob(),
  };
}

const NO_MOVE = {
  foot_forward_mm: 0,
  foot_out_mm: 0,
  foot_up_mm: 0,
  toe_out_deg: 0,
  dorsiflexion_deg: 0,
  outer_border_up_deg: 0,
  socket_flexion_deg: 0,
  socket_adduction_deg: 0,
  by_adapters: false,
};

function asked({ since, upto, loadCase }: Look) {
  return { since, upto, ...(loadCase === null ? {} : { load_case: loadCase }) };
}

function sent([x, y, z]: Point): Sent {
  return [x, y, z];
}

/** A reply that the service meant; anything else is thrown with its sentence. */
async function answered(request: Request): Promise<Response> {
  let reply: Response;
  try {
    reply = await fetch(request, { cache: "no-store" });
  } catch (cause) {
    throw new ServiceLost(cause);
  }
  if (!reply.ok) {
    throw await ServiceRefused.from(reply);
  }
  return reply;
}

/** What a reply holds, in the types that carry units; conformance.ts ties the two together. */
function got<Reply>(reply: { data?: unknown }): Reply {
  return reply.data as Reply;
}

function keysOf(entries: ArrayEntries): string[] {
  return Object.values(entries).map(({ key }) => key);
}

/** The arrays that a reply holds one after the other; the service sends little-endian. */
export function apart(bytes: ArrayBuffer, entries: ArrayEntries): ArraySet {
  let from = 0;
  return new Map(
    Object.entries(entries).map(([name, { dtype, shape }]) => {
      const Typed = TYPED[dtype];
      const count = shape.reduce((product, length) => product * length, 1);
      const upto = from + count * Typed.BYTES_PER_ELEMENT;
      const values = new Typed(bytes.slice(from, upto));
      from = upto;
      return [name, values];
    }),
  );
}

const TYPED = { float32: Float32Array, uint32: Uint32Array, uint8: Uint8Array } as const;
