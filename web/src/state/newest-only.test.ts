import { describe, expect, it } from "vitest";
import { NewestOnly } from "./newest-only";

function gate(): { readonly passed: Promise<void>; readonly open: () => void } {
  let open = (): void => undefined;
  const passed = new Promise<void>((resolve) => {
    open = resolve;
  });
  return { passed, open };
}

describe("one request at a time", () => {
  it("skips what was wanted only while another was asked", async () => {
    const asked: string[] = [];
    const first = gate();
    const newest = new NewestOnly(async (key) => {
      asked.push(key);
      await first.passed;
    });
    const done = newest.want("1");
    void newest.want("2");
    void newest.want("3");
    expect(newest.isWanted("3")).toBe(true);
    first.open();
    await done;
    expect(asked).toEqual(["1", "3"]);
  });

  it("asks no more once nothing is wanted", async () => {
    const asked: string[] = [];
    const first = gate();
    const newest = new NewestOnly(async (key) => {
      asked.push(key);
      await first.passed;
    });
    const done = newest.want("1");
    void newest.want("2");
    newest.drop();
    first.open();
    await done;
    expect(asked).toEqual(["1"]);
    expect(newest.isWanted("1")).toBe(false);
    await newest.want("1");
    expect(asked).toEqual(["1", "1"]);
  });

  it("goes on asking after one that failed", async () => {
    const asked: string[] = [];
    const newest = new NewestOnly((key) => {
      asked.push(key);
      return key === "1" ? Promise.reject(new Error("no")) : Promise.resolve();
    });
    await expect(newest.want("1")).rejects.toThrow("no");
    await newest.want("2");
    expect(asked).toEqual(["1", "2"]);
  });
});
