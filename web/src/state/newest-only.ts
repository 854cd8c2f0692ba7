/** One request at a time: while it runs, of all that is wanted only the newest waits. */

export class NewestOnly {
  private readonly ask: (key: string) => Promise<void>;
  private wanted: string | null = null;
  private asking = false;

  /** `ask` knows what to ask by the key alone: one call may answer what another one wanted. */
  constructor(ask: (key: string) => Promise<void>) {
    this.ask = ask;
  }

  /** Whether this is still what is wanted. */
  isWanted(key: string): boolean {
    return this.wanted === key;
  }

  /** What is wanted at this moment; null once it was dropped. */
  get now(): string | null {
    return this.wanted;
  }

  /** Nothing is wanted any more; an answer under way is not followed by another. */
  drop(): void {
    this.wanted = null;
  }

  /** Want this: what is wanted by then is asked, until nothing newer waits. */
  async want(key: string): Promise<void> {
    this.wanted = key;
    if (this.asking) {
      return;
    }
    this.asking = true;
    try {
      for (let answered = ""; this.wanted !== null && this.wanted !== answered; ) {
        answered = this.wanted;
        await this.ask(answered);
      }
    } finally {
      this.asking = false;
    }
  }
}
