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
   * Fetch what is wanted and not held under its key; forget what is out of date.
   * All or nothing: what is handed out belongs to one evaluation.
   */
  async gather(
    wanted: ReadonlySet<string>,
    entries: Readonly<Record<string, ArrayEntry>>,
  ): Promise<ArraySet> {
    const next = new Map([...this.held].filter(([name, { key }]) => entries[name]?.key === key));
    await Promise.all(
      [...wanted].map(async (name) => {
        const entry = entries[name];
        if (entry !== undefined && !next.has(name)) {
          next.set(name, await this.fetch(name, entry));
        }
      }),
    );
    this.held = next;
    return new Map([...next].map(([name, { values }]) => [name, values]));
  }

  private async fetch(name: string, entry: ArrayEntry): Promise<Held> {
    return { key: entry.key, values: await this.service.array(this.caseId, name, entry) };
  }
}
