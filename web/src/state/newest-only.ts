/** One request at a time: while it runs, of all that is wanted only the newest waits. */

export class NewestOnly {
  private wanted: string | null = null;
  private asking = false;

  /** Whether this is still what is wanted. */
  isWanted(key: string): boolean {
    return this.wanted === key;
  }

  get isDropped(): boolean {
    return this.wanted === null;
  }

  /** Nothing is wanted any more; an answer under way is not followed by another. */
  drop(): void {
    this.wanted = null;
  }

  /** Want this; `ask` answers what is wanted by then, until nothing newer waits. */
  async want(key: string, ask: (key: string) => Promise<void>): Promise<void> {
    this.wanted = key;
    if (this.asking) {
      return;
    }
    this.asking = true;
    for (let answered = ""; this.wanted !== null && this.wanted !== answered; ) {
      answered = this.wanted;
      await ask(answered);
    }
    this.asking = false;
  }
}
