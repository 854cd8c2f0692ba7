import { describe, expect, it } from "vitest";
import { named } from "./words";

describe("a name of the document or the results", () => {
  it("reads as the trade writes it, with underscores or without", () => {
    expect(named("mid_patellar_tendon")).toBe("Mid-patellar tendon");
    expect(named("rest_of_wall")).toBe("Rest of the wall");
    expect(named("rest of wall")).toBe("Rest of the wall");
    expect(named("medial_tibial_flare")).toBe("Medial tibial flare");
  });
});
