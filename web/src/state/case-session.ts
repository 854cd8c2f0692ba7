/**
 * A case being worked on: edits go to the service, results and pictures come back.
 *
 * One cycle runs at a time: store the document, evaluate it, fetch the arrays that changed. Edits
 * made meanwhile are taken together into the next cycle, so that the last one always wins and no
 * reply can arrive out of order.
 */

import type { ArraySet, Service } from "../api/client";
import type { CaseDocument, Point } from "../api/document";
import { ServiceLost, ServiceRefused, sentenceOf } from "../api/errors";
import type { FirstLook, Look, StoredCase } from "../api/replies";
import { loadCaseOf } from "./array-names";
import { ArrayStore } from "./array-store";
import { type CaseEvent, type CaseState, emptyCase, firstLookOf, reduceCase } from "./case-state";
import { changedPlace } from "./history";
import { KeptWork } from "./kept-work";
import type { Section } from "./touched";
import type { Pick } from "./unsaved";

/** What was refused is followed by what was edited meanwhile after this time. */
const AGAIN_MS = 4;
/** After a first look the rest waits this long for another edit, which would overtake it. */
export const REST_MS = 300;
const RETRY_MS = [1000, 2000, 4000, 8000];
const CONFLICT = 409;
const NOT_FOUND = 404;
const GONE = 410;
const ANOTHER_CASE = "The folder of this case holds another case by now. Nothing was stored in it.";
/** A reply taken for what was edited before it: nothing edited here is replaced by it. */
const NO_EDIT = -1;
const UNUSABLE = 422;

export class CaseSession {
  private readonly service: Service;
  private readonly store: ArrayStore;
  private readonly listeners = new Set<() => void>();
  private state: CaseState;
  private arraySet: ArraySet = new Map();
  private pictured: CaseDocument | null = null;
  private wanted: ReadonlySet<string> = new Set();
  private picks: readonly Pick[] = [];
  private opening = true;
  /** A person chose, at a conflict, that the document here is stored over the other one. */
  private overruling = false;
  private arraysBehind = false;
  /** Something was made, which the same revision's next evaluation tells. */
  private renewing = false;
  /** What the service refused; not sent again until it changes or a person asks for it. */
  private refused: CaseDocument | null = null;
  private sent: CaseDocument | null = null;
  /**
   * Documents sent without any answer since: one may have been stored all the same, and is then no
   * change of somebody else's.
   */
  private readonly unanswered = new Set<CaseDocument>();
  private readonly tab = new KeptWork();
  private cycling = false;
  /** A first look is shown; the rest is asked for once no edit comes for a while. */
  private resting = false;
  /** Called by an edit: what is being asked for is out of date. */
  private overtaken: (() => void) | null = null;
  private timer: ReturnType<typeof setTimeout> | null = null;
  private losses = 0;
  private closed = false;

  constructor(service: Service, id: string) {
    this.service = service;
    this.store = new ArrayStore(service, id);
    this.state = emptyCase(id);
  }

  readonly subscribe = (listener: () => void): (() => void) => {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  };

  readonly snapshot = (): CaseState => this.state;

  readonly arrays = (): ArraySet => this.arraySet;

  /** The document that the arrays were computed from; edits since then are not in them. */
  readonly arraysOf = (): CaseDocument | null => this.pictured;

  /** Take the case as stored; what is edited here and not stored is given up. */
  open(): void {
    this.closed = false;
    addEventListener("pagehide", this.keepSteps);
    addEventListener("focus", this.comeBack);
    this.opening = true;
    this.overruling = false;
    this.picks = [];
    this.unanswered.clear();
    if (this.state.stored !== null) {
      this.tab.forget(this.state);
    }
    this.schedule(0);
  }

  /** Take up what an earlier visit of this tab could not store; it is stored over what stands. */
  takeUpUnsaved(): void {
    const { unsaved } = this.state;
    if (unsaved !== null) {
      this.picks = unsaved.picks;
      this.dispatch({ type: "taken up", unsaved });
      this.schedule(0);
    }
  }

  giveUpUnsaved(): void {
    this.tab.forget(this.state);
    this.dispatch({ type: "given up" });
  }

  /** Change the document; edits of one gesture are one step, however long it takes. */
  edit(
    section: Section,
    change: (document: CaseDocument) => CaseDocument,
    gesture: string | null = null,
  ): void {
    if (this.state.document === null) {
      return;
    }
    const at = performance.now();
    const document = change(this.state.document);
    this.dispatch({ type: "edited", section, document, at, gesture });
    this.overtaken?.();
    this.send();
  }

  /** Take the last step back, or take it again. */
  step(way: "back" | "forward"): void {
    this.dispatch({ type: "stepped", way });
    this.overtaken?.();
    this.send();
  }

  /** Put a landmark where the limb was touched; the service snaps it to the skin. */
  placeLandmark(name: string, at: Point): void {
    this.picks = [...this.picks.filter((pick) => pick.name !== name), { name, at }];
    this.edit("capture", (document) => document);
  }

  /** Name the arrays that the picture needs; those not held are fetched. */
  want(names: ReadonlySet<string>): void {
    const grown = [...names].some((name) => !this.wanted.has(name));
    this.wanted = names;
    if (grown) {
      this.arraysBehind = true;
      this.schedule(0);
    }
  }

  /** Evaluate the case again as it stands: something was made of it meanwhile. */
  renew(): void {
    this.renewing = true;
    this.schedule(0);
  }

  retryNow(): void {
    this.refused = null;
    this.opening = this.state.stored === null;
    this.dispatch({ type: "dismissed" });
    this.schedule(0);
  }

  /** Come back to after a while: what was stored elsewhere meanwhile is taken. */
  private readonly comeBack = async (): Promise<void> => {
    const { id, record, stored, document } = this.state;
    const isIdle = (): boolean => !this.cycling && this.timer === null && !this.closed;
    if (stored === null || document !== stored.document || !isIdle()) {
      return;
    }
    // Whoever works on is told of a service that is lost; nobody has asked for anything here.
    const standing = await this.service.openCase(id).catch(() => null);
    const moved = standing?.revision !== stored.revision || standing.record !== record;
    if (standing !== null && moved && this.state.stored === stored && isIdle()) {
      this.opening = this.state.document === document;
      this.schedule(0);
    }
  };

  /** Answer a conflict by storing the document as it stands here over the other one. */
  overrule(): void {
    this.overruling = true;
    this.schedule(0);
  }

  close(): void {
    removeEventListener("pagehide", this.keepSteps);
    removeEventListener("focus", this.comeBack);
    this.keepSteps();
    this.closed = true;
    this.clearTimer();
  }

  /** Send what was edited before the page is drawn anew for it: the service computes meanwhile. */
  private send(): void {
    // While the service cannot be reached it is asked at its own times, not with every edit.
    const waits = this.losses > 0 && this.timer !== null;
    if (!this.closed && !this.cycling && !waits) {
      this.clearTimer();
      void this.run();
    }
  }

  private schedule(delayMs: number): void {
    if (this.closed || this.cycling) {
      return;
    }
    if (this.timer !== null && delayMs > 0) {
      return;
    }
    this.clearTimer();
    this.timer = setTimeout(() => {
      this.timer = null;
      void this.run();
    }, delayMs);
  }

  private async run(): Promise<void> {
    this.cycling = true;
    this.resting = false;
    this.dispatch({ type: "working" });
    try {
      while (!this.closed && !this.resting && this.hasWork()) {
        await this.cycle();
      }
      this.losses = 0;
      this.cycling = false;
    } catch (error) {
      this.cycling = false;
      this.fail(error);
    }
    if (this.resting) {
      this.schedule(REST_MS);
    } else {
      this.dispatch({ type: "rested" });
    }
  }

  private hasWork(): boolean {
    const { conflict, document, stored, evaluated, uncovered } = this.state;
    if (this.opening || this.overruling) {
      return true;
    }
    if (stored === null || conflict !== null || document === this.refused) {
      return false;
    }
    const behind = stored.revision !== evaluated?.revision || this.arraysBehind || this.renewing;
    return document !== stored.document || behind || uncovered.length > 0;
  }

  private async cycle(): Promise<void> {
    if (this.opening) {
      const first = this.state.stored === null;
      const stored = await this.service.openCase(this.state.id);
      this.opening = false;
      this.refused = null;
      this.service.holdTo(this.state.id, stored.record);
      this.dispatch({ type: "opened", stored });
      if (first) {
        this.findWork();
      }
    }
    if (this.overruling) {
      const theirs = await this.service.openCase(this.state.id);
      this.overruling = false;
      if (theirs.record !== this.state.record) {
        throw new ServiceRefused(GONE, ANOTHER_CASE, null, []);
      }
      this.dispatch({ type: "overruled", revision: theirs.revision });
    }
    // What is edited while this cycle waits for replies belongs to the next one.
    const edit = this.state.edits;
    this.sent = this.state.document;
    const isSeen = this.state.looked?.edit === edit;
    let shown = false;
    try {
      shown = await this.save(edit);
      await this.placePicks(edit);
    } catch (error) {
      if (await this.metOurselves(error)) {
        return;
      }
      throw error;
    }
    if (!isSeen && (shown || (await this.lookFirst(edit)))) {
      this.resting = this.state.edits === edit;
      return;
    }
    if (this.state.edits === edit) {
      await this.evaluate(edit);
    }
  }

  /** Store what was edited; whether a first look at it came with the answer and is shown. */
  private async save(edit: number): Promise<boolean> {
    const { id, document, stored } = this.state;
    if (document === null || stored === null || document === stored.document) {
      return false;
    }
    const asked = this.picks.length === 0 ? this.lookWanted() : null;
    const { look, ...saved } = await this.service
      .saveCase(id, stored.revision, document, asked)
      .catch((error: unknown) => {
        if (error instanceof ServiceLost) {
          this.unanswered.add(document);
        }
        throw error;
      });
    this.unanswered.clear();
    let shown: FirstLook | null = null;
    try {
      shown = look !== null && (await this.pictures(look, saved)) ? look : null;
    } finally {
      // Both at once: every change of state has the whole page drawn anew.
      this.dispatch({ type: "saved", stored: saved, look: shown, edit });
    }
    return shown !== null;
  }

  /** Fetch what the picture needs of a first look; false when it is not of what is stored. */
  private async pictures(look: FirstLook, stored: StoredCase): Promise<boolean> {
    const isOf = look.revision === stored.revision;
    if (!isOf || !(await this.gathered({ ...this.state.arrays, ...look.arrays }))) {
      return false;
    }
    this.pictured = stored.document;
    return true;
  }

  private lookWanted(): Look | null {
    return firstLookOf(this.state, loadCaseOf(this.wanted));
  }

  /**
   * Whether a conflict is one with ourselves: what stands is what was sent before a reply was lost.
   * It is then taken as stored, and what was edited since stays as it is.
   */
  private async metOurselves(error: unknown): Promise<boolean> {
    const { id, stored } = this.state;
    const [pick] = this.picks;
    const maybeOurs = this.unanswered.size > 0 || pick !== undefined;
    if (!isConflict(error) || stored === null || !maybeOurs) {
      return false;
    }
    const standing = await this.service.openCase(id);
    const sent = [...this.unanswered];
    this.unanswered.clear();
    if (sent.some((document) => changedPlace(document, standing.document) === null)) {
      this.dispatch({ type: "saved", stored: standing, look: null, edit: NO_EDIT });
      return true;
    }
    return pick !== undefined && (await this.wasPlaced(pick, stored.revision));
  }

  /** Whether a landmark was placed: asked again on the same revision, the service knows it. */
  private async wasPlaced(pick: Pick, base: number): Promise<boolean> {
    try {
      const { id } = this.state;
      const stored = await this.service.pickLandmark(id, base, pick.name, pick.at);
      this.picks = this.picks.filter((one) => one !== pick);
      this.dispatch({ type: "placed", stored, edit: NO_EDIT });
    } catch (error) {
      if (isConflict(error)) {
        return false;
      }
      throw error;
    }
    return true;
  }

  private async placePicks(edit: number): Promise<void> {
    for (let pick = this.picks[0]; pick !== undefined; pick = this.picks[0]) {
      const { id, stored } = this.state;
      if (stored === null) {
        return;
      }
      try {
        const reply = await this.service.pickLandmark(id, stored.revision, pick.name, pick.at);
        this.dispatch({ type: "placed", stored: reply, edit });
      } catch (error) {
        if (!(error instanceof ServiceRefused) || error.status !== UNUSABLE) {
          throw error;
        }
        // A point that is not on the limb is given up; the landmark stays where it was.
        this.dispatch({ type: "refused", sentence: error.message, problems: [] });
      }
      this.picks = this.picks.filter((one) => one !== pick);
    }
  }

  /**
   * What can be shown at once: the stage that was edited, and the pressure that is in view. Whether
   * an edit has been shown so.
   */
  private async lookFirst(edit: number): Promise<boolean> {
    const { id, stored, evaluated } = this.state;
    const asked = this.lookWanted();
    if (stored === null || asked === null || stored.revision === evaluated?.revision) {
      return false;
    }
    const look = await this.service.lookFirst(id, asked);
    if (!(await this.pictures(look, stored))) {
      return false;
    }
    this.dispatch({ type: "looked", look, edit });
    return evaluated !== null;
  }

  private async evaluate(edit: number): Promise<void> {
    const { id, stored, evaluated, arrays } = this.state;
    if (stored === null) {
      return;
    }
    const known = stored.revision === evaluated?.revision && !this.renewing;
    if (known && (await this.gathered(arrays))) {
      this.dispatch({ type: "covered", edit });
      return;
    }
    const evaluation = await this.unlessOvertaken(this.service.evaluate(id));
    if (this.state.edits !== edit) {
      return;
    }
    if (evaluation?.revision !== stored.revision) {
      // Stored elsewhere meanwhile. Without an edit of our own the newer case is simply taken;
      // with one, storing it meets the conflict and asks.
      this.opening = this.state.document === stored.document;
      return;
    }
    this.arraysBehind = false;
    this.renewing = false;
    // Numbers and picture change together: neither is shown beside the other's older state.
    this.arraySet = await this.store.gather(this.wanted, evaluation.arrays);
    this.pictured = stored.document;
    this.dispatch({ type: "evaluated", evaluation, edit });
  }

  /** A reply, or null as soon as an edit makes it one that nobody waits for. */
  private async unlessOvertaken<Reply>(asked: Promise<Reply>): Promise<Reply | null> {
    const overtaken = new Promise<null>((resolve) => {
      this.overtaken = () => resolve(null);
    });
    // What comes of it after that concerns nobody.
    asked.catch(() => undefined);
    try {
      return await Promise.race([asked, overtaken]);
    } finally {
      this.overtaken = null;
    }
  }

  /** Fetch what the picture wants; false when the service offers it no longer. */
  private async gathered(arrays: CaseState["arrays"]): Promise<boolean> {
    this.arraysBehind = false;
    try {
      this.arraySet = await this.store.gather(this.wanted, arrays);
      return true;
    } catch (error) {
      if (error instanceof ServiceRefused && error.status === NOT_FOUND) {
        return false;
      }
      this.arraysBehind = true;
      throw error;
    }
  }

  private fail(error: unknown): void {
    const sentence = sentenceOf(error);
    if (error instanceof ServiceLost) {
      this.dispatch({ type: "lost", sentence });
      const delay = RETRY_MS[Math.min(this.losses, RETRY_MS.length - 1)] ?? 0;
      this.losses += 1;
      this.schedule(delay);
      return;
    }
    this.overruling = false;
    if (isConflict(error)) {
      this.dispatch({ type: "conflicted", sentence });
      return;
    }
    this.refused = this.sent;
    this.opening = false;
    const problems = error instanceof ServiceRefused ? error.problems : [];
    this.dispatch({ type: "refused", sentence, problems });
    if (this.hasWork()) {
      this.schedule(AGAIN_MS);
    }
  }

  private dispatch(event: CaseEvent): void {
    const before = this.state;
    this.state = reduceCase(before, event);
    this.tab.keep(this.state, this.picks);
    if (this.state === before) {
      return;
    }
    for (const listener of this.listeners) {
      listener();
    }
  }

  private readonly keepSteps = (): void => this.tab.keepSteps(this.state);

  /** Offer what an earlier visit of this tab left. */
  private findWork(): void {
    const history = this.tab.steps(this.state);
    if (history !== null) {
      this.dispatch({ type: "steps found", history });
    }
    const unsaved = this.tab.left(this.state);
    if (unsaved !== null) {
      this.dispatch({ type: "left over", unsaved });
    }
  }

  private clearTimer(): void {
    if (this.timer !== null) {
      clearTimeout(this.timer);
      this.timer = null;
    }
  }
}

function isConflict(error: unknown): boolean {
  return error instanceof ServiceRefused && error.status === CONFLICT;
}
