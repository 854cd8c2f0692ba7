import { describe, expect, it } from "vitest";
import { caseAddress, parseRoute, revisionsAddress } from "./route";

describe("addresses of the page", () => {
  it("name a case and a stage, and are read back the same", () => {
    for (const id of ["demo", "left leg 2", "a/b"]) {
      expect(parseRoute(caseAddress(id, "shape"))).toEqual({
        kind: "case",
        id,
        stage: "shape",
        guide: null,
      });
    }
  });

  it("keep the step of the guide beside the stage", () => {
    const address = caseAddress("left leg 2", "shape", "deepen");
    expect(parseRoute(address)).toEqual({
      kind: "case",
      id: "left leg 2",
      stage: "shape",
      guide: "deepen",
    });
  });

  it("lead to the list of cases where they name none", () => {
    for (const hash of ["", "#/", "#/other", "#/case/", "#/case/%", "#/case/%E0%A4%A/shape"]) {
      expect(parseRoute(hash)).toEqual({ kind: "start" });
    }
  });

  it("may leave the stage open", () => {
    expect(parseRoute("#/case/demo")).toEqual({
      kind: "case",
      id: "demo",
      stage: null,
      guide: null,
    });
  });

  it("name two revisions, the confirmed one or none, and are read back the same", () => {
    for (const compared of [{ before: 3, after: 5 }, "confirmed", null] as const) {
      for (const id of ["demo", "a/b"]) {
        const route = { kind: "revisions", id, compared };
        expect(parseRoute(revisionsAddress(id, compared))).toEqual(route);
      }
    }
  });

  it("lead to all revisions where the two that they name cannot be read", () => {
    for (const rest of ["/3", "/3/x", "/-1/2", "/3/5/7", "/", ""]) {
      expect(parseRoute(`#/case/demo/revisions${rest}`)).toEqual({
        kind: "revisions",
        id: "demo",
        compared: null,
      });
    }
  });
});
