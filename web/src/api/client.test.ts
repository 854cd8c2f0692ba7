import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { smallDocument } from "../state/testing";
import { apart, connect } from "./client";

describe("what is asked of the service", () => {
  const asked: Request[] = [];

  beforeEach(() => {
    asked.length = 0;
    vi.stubGlobal("fetch", (request: Request) => {
      asked.push(request);
      return Promise.resolve(Response.json({}));
    });
  });

  afterEach(() => {
    vi.unstubAllGlobals();
  });

  it("is on its way before an edit's own event is over", () => {
    void connect("t").saveCase("c1", 1, smallDocument(), null);
    expect(asked.map(({ method, url }) => [method, new URL(url).pathname])).toEqual([
      ["PUT", "/api/cases/c1"],
    ]);
  });

  it("names the record that was opened, but for opening the case again", async () => {
    const service = connect("t");
    service.holdTo("c1", "r1");
    await service.openCase("c1");
    await service.evaluate("c1");
    await service.saveCase("c1", 1, smallDocument(), null);
    await service.evaluate("c2");
    await service.cases();
    const records = asked.map(({ headers }) => headers.get("X-Limbwright-Record"));
    expect(records).toEqual([null, "r1", "r1", null, null]);
    expect(asked.every(({ headers }) => headers.get("X-Limbwright-Token") === "t")).toBe(true);
  });
});

describe("arrays in one reply", () => {
  it("are taken apart in the order asked for, wherever one ends", () => {
    const floats = new Float32Array([1.5, -2, 3]);
    const bytes = new Uint8Array([7, 8, 9]);
    const faces = new Uint32Array([4, 5]);
    const reply = new Uint8Array(12 + 3 + 8);
    reply.set(new Uint8Array(floats.buffer), 0);
    reply.set(bytes, 12);
    reply.set(new Uint8Array(faces.buffer), 15);
    const found = apart(reply.buffer, {
      "a.positions": { key: "k1", dtype: "float32", shape: [1, 3] },
      "a.flags": { key: "k2", dtype: "uint8", shape: [3] },
      "a.faces": { key: "k3", dtype: "uint32", shape: [2] },
    });
    expect([...found]).toEqual([
      ["a.positions", floats],
      ["a.flags", bytes],
      ["a.faces", faces],
    ]);
  });
});
