/** What this tab's storage holds of a case: work not stored yet, and the steps taken. */

import type { CaseDocument } from "../api/document";
import type { CaseState } from "./case-state";
import { changedPlace, type History } from "./history";
import { keepSteps, stepsOf } from "./kept-steps";
import { dropUnsaved, keepUnsaved, type Pick, type Unsaved, unsavedOf } from "./unsaved";

export class KeptWork {
  private kept: { readonly document: CaseDocument; readonly picks: readonly Pick[] } | null = null;

  /** Keep what the service does not have yet; an offer that waits is left alone. */
  keep(state: CaseState, picks: readonly Pick[]): void {
    const { record, document, stored, unsaved } = state;
    if (record === null || document === null || stored === null || unsaved !== null) {
      return;
    }
    if (document === stored.document && picks.length === 0) {
      if (this.kept !== null) {
        this.forget(state);
      }
    } else if (this.kept?.document !== document || this.kept.picks !== picks) {
      this.kept = { document, picks };
      keepUnsaved(record, { base: stored.revision, ...this.kept });
    }
  }

  forget({ record }: CaseState): void {
    this.kept = null;
    if (record !== null) {
      dropUnsaved(record);
    }
  }

  /** What an earlier visit left; what says nothing new is forgotten. */
  left(state: CaseState): Unsaved | null {
    const { record, stored } = state;
    const unsaved = record === null ? null : unsavedOf(record);
    if (unsaved === null || stored === null) {
      return null;
    }
    if (changedPlace(unsaved.document, stored.document) === null && unsaved.picks.length === 0) {
      this.forget(state);
      return null;
    }
    return unsaved;
  }

  /** What is not stored yet is offered after a reload by itself, as one step. */
  keepSteps({ record, stored, document, history }: CaseState): void {
    if (record !== null && stored !== null && document === stored.document) {
      keepSteps(record, stored.revision, history);
    }
  }

  steps({ record, stored }: CaseState): History | null {
    return record === null || stored === null ? null : stepsOf(record, stored.revision);
  }
}
