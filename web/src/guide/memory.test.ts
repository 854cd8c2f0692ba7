import { beforeEach, describe, expect, it } from "vitest";
import { keep, recall } from "./memory";

beforeEach(() => sessionStorage.clear());

describe("what a tab keeps of the guide", () => {
  it("is the place and the steps done, for each case apart", () => {
    keep("a", { at: "deepen", done: ["walk", "section"] });
    expect(recall("a")).toEqual({ at: "deepen", done: ["walk", "section"] });
    expect(recall("b")).toEqual({ at: null, done: [] });
  });

  it("is nothing where something else was written there", () => {
    sessionStorage.setItem("limbwright.guide.a", "{not json");
    expect(recall("a")).toEqual({ at: null, done: [] });
    sessionStorage.setItem("limbwright.guide.a", '{"at": 3, "done": [1, "walk"]}');
    expect(recall("a")).toEqual({ at: null, done: ["walk"] });
  });
});
