/** Raw arrays by name, fetched again only when their key changes. */

import type { RawArray, Service } from "../api/client";
import type { ArrayEntry } from "../api/replies";

export type ArraySet = ReadonlyMap<string, RawArray>;

interface Held {
  readonly key: string;
  readonly values: RawArray;
}

export class ArrayStore {
  private held = new Map<string, Held>();
  private readonly service: Service;
  private readonly caseId: string;

  constructor(service: Service, caseId: string) {
    this.service = service;
    this.caseId = caseId;
  }

  /**
   * Fetch what is wanted and not held under its key; forget what no longer exists.
   * All or nothing: what is handed out belongs to one evaluation.
   */
  async gather(
    wanted: ReadonlySet<string>,
    entries: Readonly<Record<string, ArrayEntry>>,
  ): Promise<ArraySet> {
    const names = [...wanted].filter((name) => entries[name] !== undefined);
    const next = new Map<string, Held>();
    await Promise.all(
      names.map(async (name) => {
        const entry = entries[name];
        if (entry === undefined) {
          return;
        }
        const old = this.held.get(name);
        const fresh = old?.key === entry.key ? old : await this.fetch(name, entry);
        next.set(name, fresh);
      }),
    );
    this.held = next;
    return new Map([...next].map(([name, { values }]) => [name, values]));
  }

  private async fetch(name: string, entry: ArrayEntry): Promise<Held> {
    return { key: entry.key, values: await this.service.array(this.caseId, name, entry) };
  }
}
