import { beforeEach, describe, expect, it } from "vitest";
import { keepDrafts, keptDrafts } from "./kept-drafts";
import { type ComplaintDraft, INITIAL_VIEW, withDraft, withoutFitting } from "./view-settings";

const SORE: ComplaintDraft = {
  sign: "pain",
  phase: null,
  landmark: null,
  point: [1, 2, 3],
  whole: false,
};

describe("a complaint that is not told whole", () => {
  beforeEach(() => sessionStorage.clear());

  it("outlives a reload, with its own case alone", () => {
    keepDrafts("one", { 2: SORE });
    expect(keptDrafts("one")).toEqual({ 2: SORE });
    expect(keptDrafts("another")).toEqual({});
  });

  it("leaves nothing behind once it is stored or given up", () => {
    keepDrafts("one", { 2: SORE });
    keepDrafts("one", {});
    expect(sessionStorage.length).toBe(0);
  });

  it("is left out where what was kept is no complaint", () => {
    const broken = { 1: { ...SORE, point: "there" }, x: SORE, 3: SORE };
    sessionStorage.setItem("limbwright.complaints.one", JSON.stringify(broken));
    expect(keptDrafts("one")).toEqual({ 3: SORE });
    sessionStorage.setItem("limbwright.complaints.one", "{");
    expect(keptDrafts("one")).toEqual({});
  });

  it("stays with its fitting, whichever is opened, and moves with it when one before it goes", () => {
    const both = withDraft(withDraft(INITIAL_VIEW, 0, SORE), 2, {
      ...SORE,
      sign: "redness_that_stays",
    });
    expect({ ...both, fitting: 1 }.drafts[2]?.sign).toBe("redness_that_stays");
    expect(withDraft(both, 0, null).drafts).toEqual({ 2: both.drafts[2] });
    expect(withoutFitting(both, 0).drafts).toEqual({ 1: both.drafts[2] });
    expect(withoutFitting(both, 1).drafts).toEqual({ 0: SORE, 1: both.drafts[2] });
  });
});
