import { describe, expect, it } from "vitest";
import { EMPTY_DRAFT, missingOf, toldWhole } from "./complaint-draft";

describe("a complaint that is being told", () => {
  it("is none before what, when and where are said", () => {
    expect(toldWhole(EMPTY_DRAFT)).toBeNull();
    expect(missingOf(EMPTY_DRAFT)).toContain("Say what, when and where:");
    const partly = { ...EMPTY_DRAFT, sign: "pain", phase: "swing" } as const;
    expect(toldWhole(partly)).toBeNull();
    expect(missingOf(partly)).toContain("Say where:");
  });

  it("is stored as told, by landmark or by touch, and nothing more is put into it", () => {
    const told = { ...EMPTY_DRAFT, sign: "pain", phase: "swing" } as const;
    const rest = { sign: "pain", phase: "swing", severity: null, note: "" };
    expect(toldWhole({ ...told, landmark: "fibular_head" })).toEqual({
      ...rest,
      landmark: "fibular_head",
      point: null,
    });
    expect(toldWhole({ ...told, point: [1, 2, 3] })).toEqual({
      ...rest,
      landmark: null,
      point: [1, 2, 3],
    });
  });

  it("is of the whole socket only where the sign can be", () => {
    const whole = { ...EMPTY_DRAFT, phase: "swing", whole: true } as const;
    expect(toldWhole({ ...whole, sign: "loose" })).not.toBeNull();
    expect(toldWhole({ ...whole, sign: "pain" })).toBeNull();
    // Whoever changes the sign afterwards is asked for a place.
    expect(missingOf({ ...whole, sign: "pain" })).toContain("Say where:");
  });
});
