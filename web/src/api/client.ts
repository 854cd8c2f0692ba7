/** The one place that talks to the service; nothing else in the page makes a request. */

import type { CaseDocument, Point } from "./document";
import { ServiceLost, ServiceRefused } from "./errors";
import type { ArrayEntry, CaseEntry, Evaluation, Info, Job, StoredCase } from "./replies";

export type RawArray = Float32Array | Uint32Array | Uint8Array;

export interface Service {
  info(): Promise<Info>;
  cases(): Promise<readonly CaseEntry[]>;
  openCase(id: string): Promise<StoredCase>;
  saveCase(id: string, base: number, document: CaseDocument): Promise<StoredCase>;
  evaluate(id: string, revision: number): Promise<Evaluation>;
  array(id: string, name: string, entry: ArrayEntry): Promise<RawArray>;
  pickLandmark(id: string, base: number, name: string, at: Point): Promise<StoredCase>;
  startMaking(id: string): Promise<string>;
  job(id: string): Promise<Job>;
  download(url: string): Promise<Blob>;
}

/** A service at the page's own origin. */
export function connect(token: string): Service {
  const ask = async (path: string, init: RequestInit = {}): Promise<Response> => {
    const headers = new Headers(init.headers);
    headers.set("X-Limbwright-Token", token);
    let reply: Response;
    try {
      reply = await fetch(path, { ...init, headers, cache: "no-store" });
    } catch (cause) {
      throw new ServiceLost(cause);
    }
    if (!reply.ok) {
      throw await ServiceRefused.from(reply);
    }
    return reply;
  };
  const json = async <Reply>(path: string, init?: RequestInit): Promise<Reply> =>
    (await (await ask(path, init)).json()) as Reply;
  const send = <Reply>(method: string, path: string, body: unknown): Promise<Reply> =>
    json<Reply>(path, {
      method,
      body: JSON.stringify(body),
      headers: { "Content-Type": "application/json" },
    });
  const caseAt = (id: string): string => `/api/cases/${encodeURIComponent(id)}`;

  return {
    info: () => json<Info>("/api/info"),
    cases: async () => (await json<{ cases: CaseEntry[] }>("/api/cases")).cases,
    openCase: (id) => json<StoredCase>(caseAt(id)),
    saveCase: (id, base, document) =>
      send<StoredCase>("PUT", caseAt(id), { base_revision: base, document }),
    evaluate: (id, revision) =>
      json<Evaluation>(`${caseAt(id)}/evaluation?revision=${revision.toString()}`),
    array: async (id, name, entry) => {
      const path = `${caseAt(id)}/arrays/${encodeURIComponent(name)}`;
      const reply = await ask(`${path}?key=${encodeURIComponent(entry.key)}`);
      return asTyped(await reply.arrayBuffer(), entry);
    },
    pickLandmark: (id, base, name, at) =>
      send<StoredCase>("POST", `${caseAt(id)}/pick-landmark`, {
        base_revision: base,
        name,
        point_patient_mm: at,
      }),
    startMaking: async (id) => (await send<{ job: string }>("POST", `${caseAt(id)}/make`, {})).job,
    job: (id) => json<Job>(`/api/jobs/${encodeURIComponent(id)}`),
    download: async (url) => (await ask(url)).blob(),
  };
}

/** The bytes of a reply as the typed array that they are; the service sends little-endian. */
export function asTyped(bytes: ArrayBuffer, entry: ArrayEntry): RawArray {
  switch (entry.dtype) {
    case "float32":
      return new Float32Array(bytes);
    case "uint32":
      return new Uint32Array(bytes);
    case "uint8":
      return new Uint8Array(bytes);
  }
}
