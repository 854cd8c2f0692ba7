import { describe, expect, it } from "vitest";
import { changedPlace, NO_HISTORY, ONE_STEP_MS, remember, stepBack, stepForward } from "./history";
import { smallDocument } from "./testing";

const [a, b, c] = [smallDocument(1), smallDocument(2), smallDocument(3)];

describe("steps back and forward", () => {
  it("goes back through the documents and forward again to where it was", () => {
    let history = remember(NO_HISTORY, a, b, 0);
    history = remember(history, b, c, 10 * ONE_STEP_MS);
    const once = stepBack(history, c);
    expect(once?.document).toBe(b);
    const twice = once && stepBack(once.history, once.document);
    expect(twice?.document).toBe(a);
    expect(twice && stepBack(twice.history, twice.document)).toBeNull();
    const again = twice && stepForward(twice.history, twice.document);
    expect(again?.document).toBe(b);
    const whole = again && stepForward(again.history, again.document);
    expect(whole?.document).toBe(c);
    expect(whole && stepForward(whole.history, whole.document)).toBeNull();
  });

  it("takes a drag on the limb as one step however long it rests, and the next drag as another", () => {
    let history = remember(NO_HISTORY, a, b, 0, "drag 1");
    history = remember(history, b, c, 10 * ONE_STEP_MS, "drag 1");
    expect(history.past).toEqual([a]);
    history = remember(history, c, b, 10 * ONE_STEP_MS + 1, "drag 2");
    expect(history.past).toEqual([a, c]);
    history = remember(history, b, a, 10 * ONE_STEP_MS + 2);
    expect(history.past).toEqual([a, c, b]);
  });

  it("leaves no step of a drag that was given up", () => {
    let history = remember(NO_HISTORY, a, b, 0, "drag 1");
    history = remember(history, b, c, 9, "drag 2");
    history = remember(history, c, b, 10, "drag 2");
    expect(history.past).toEqual([a]);
  });

  it("takes a drag of one slider as one step, and a later move as another", () => {
    let history = remember(NO_HISTORY, a, b, 0);
    history = remember(history, b, c, ONE_STEP_MS - 1);
    expect(history.past).toEqual([a]);
    history = remember(history, c, a, 3 * ONE_STEP_MS);
    expect(history.past).toEqual([a, c]);
  });

  it("keeps changes of two places apart however fast they come", () => {
    const titled = { ...b, title: "Other" };
    let history = remember(NO_HISTORY, a, b, 0);
    history = remember(history, b, titled, 1);
    expect(history.past).toEqual([a, b]);
  });

  it("forgets what was taken back once something else is done", () => {
    const back = stepBack(remember(NO_HISTORY, a, b, 0), b);
    const history = back && remember(back.history, a, c, 1);
    expect(history?.future).toEqual([]);
  });

  it("does not count what changed nothing", () => {
    expect(remember(NO_HISTORY, a, structuredClone(a), 0)).toBe(NO_HISTORY);
  });
});

describe("the changed place", () => {
  it("is the one leaf that differs, or what holds all that do", () => {
    expect(changedPlace({ x: { y: 1, z: 2 } }, { x: { y: 3, z: 2 } })).toBe("x.y.");
    expect(changedPlace({ x: [1, 2] }, { x: [1, 2, 3] })).toBe("x.2.");
    expect(changedPlace({ x: 1, y: 1 }, { x: 2, y: 2 })).toBe("");
    expect(changedPlace({ x: [1] }, { x: [1] })).toBeNull();
  });
});
