import { describe, expect, it } from "vitest";
import { ServiceRefused } from "./errors";

describe("a refusal by the service", () => {
  it("carries the sentence, the place and every problem", async () => {
    // The members of a problem document as RFC 9457 names them, with this service's extensions.
    const body = {
      type: "about:blank",
      title: "refused",
      status: 422,
      detail: "The case has 2 problems.",
      where: "shape",
      problems: [{ path: "shape.brim.flare_mm", text: "must be at most 20" }],
    };
    const refused = await ServiceRefused.from(Response.json(body, { status: 422 }));
    expect(refused.message).toBe("The case has 2 problems.");
    expect(refused.where).toBe("shape");
    expect(refused.problems).toEqual(body.problems);
    expect(refused.status).toBe(422);
  });

  it("still says something when the reply is no problem document", async () => {
    const refused = await ServiceRefused.from(
      new Response("<h1>Bad gateway</h1>", { status: 502 }),
    );
    expect(refused.message).toContain("502");
    expect(refused.problems).toEqual([]);
  });
});
