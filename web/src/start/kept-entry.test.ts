import { beforeEach, describe, expect, it } from "vitest";
import { dropEntry, keepEntry, keptEntry, type NewEntry, NOTHING } from "./kept-entry";
import { UNKNOWN_PERSON } from "./person-entry";

const BEGUN: NewEntry = {
  ...NOTHING,
  title: "First socket",
  person: { ...UNKNOWN_PERSON, code: "p 9", side: "left" },
  points: { fibular_head: [1, 2, 3] },
  unit: "cm",
};

describe("what is entered of a new case", () => {
  beforeEach(() => sessionStorage.clear());

  it("outlives a reload until the case is begun", () => {
    keepEntry(BEGUN);
    expect(keptEntry()).toEqual(BEGUN);
    dropEntry();
    expect(keptEntry()).toBeNull();
  });

  it("leaves nothing behind where nothing is entered", () => {
    keepEntry(BEGUN);
    keepEntry({ ...NOTHING });
    expect(sessionStorage.length).toBe(0);
  });

  it("is left out where what was kept is no such entry", () => {
    for (const broken of ["{", "7", "null", '{"title": "x"}', '{"title": 1}']) {
      sessionStorage.setItem("limbwright.new-case", broken);
      expect(keptEntry()).toBeNull();
    }
    const noScan = { ...BEGUN, scan: { scan: 3 } };
    sessionStorage.setItem("limbwright.new-case", JSON.stringify(noScan));
    expect(keptEntry()).toBeNull();
  });
});
