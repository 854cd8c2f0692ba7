/** Raw arrays by name, fetched again only when their key changes. */

import type { ArraySet, RawArray, Service } from "../api/client";
import type { ArrayEntries } from "../api/replies";

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
  async gather(wanted: ReadonlySet<string>, entries: ArrayEntries): Promise<ArraySet> {
    const next = new Map([...this.held].filter(([name, { key }]) => entries[name]?.key === key));
    const missing = Object.fromEntries(
      Object.entries(entries).filter(([name]) => wanted.has(name) && !next.has(name)),
    );
    if (Object.keys(missing).length > 0) {
      for (const [name, values] of await this.service.arrays(this.caseId, missing)) {
        next.set(name, { key: missing[name]?.key ?? "", values });
      }
    }
    this.held = next;
    return new Map([...next].map(([name, { values }]) => [name, values]));
  }
}
