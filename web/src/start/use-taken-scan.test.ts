import { act, renderHook } from "@testing-library/react";
import { describe, expect, it, vi } from "vitest";
import type { RawArray } from "../api/client";
import type { ScanEntry } from "../api/replies";
import { FakeService } from "../state/testing";
import { useTakenScan } from "./use-taken-scan";

const described = { dtype: "float32", shape: [1], key: "k" };

/** A service whose reading of each file is answered when the test says so. */
function reading() {
  const answers: Record<string, { read: () => void; refuse: () => void }> = {};
  const service = Object.assign(new FakeService(), {
    takeScan: ({ name }: File) =>
      new Promise<ScanEntry>((resolve, reject) => {
        const arrays = { "scan.positions": described, "scan.faces": described };
        answers[name] = {
          read: () => resolve({ scan: name, arrays } as unknown as ScanEntry),
          refuse: () => reject(new Error(`${name} is no scan.`)),
        };
      }),
    scanArrays: () =>
      Promise.resolve(
        new Map<string, RawArray>([
          ["scan.positions", new Float32Array(3)],
          ["scan.faces", new Uint32Array(3)],
        ]),
      ),
  });
  return { answers, service };
}

describe("the scan of a new case", () => {
  it("is the last file that was given, whichever is read first", async () => {
    const { answers, service } = reading();
    const { result } = renderHook(() => useTakenScan(service, () => undefined));
    const takes: Promise<boolean>[] = [];
    act(() => void takes.push(result.current.take(new File([], "first.stl"))));
    act(() => void takes.push(result.current.take(new File([], "last.stl"))));
    await act(async () => answers["last.stl"]?.read());
    expect(result.current).toMatchObject({ taken: { entry: { scan: "last.stl" } }, reading: "" });
    await act(async () => answers["first.stl"]?.read());
    expect(result.current.taken?.entry.scan).toBe("last.stl");
    expect(await Promise.all(takes)).toEqual([false, true]);
  });

  it("is none any more once another file is read, also when that one is refused", async () => {
    const { answers, service } = reading();
    const refused = vi.fn();
    const { result } = renderHook(() => useTakenScan(service, refused));
    act(() => void result.current.take(new File([], "first.stl")));
    await act(async () => answers["first.stl"]?.read());
    expect(result.current.taken?.entry.scan).toBe("first.stl");
    act(() => void result.current.take(new File([], "last.stl")));
    expect(result.current).toMatchObject({ taken: null, reading: "last.stl" });
    await act(async () => answers["last.stl"]?.refuse());
    expect(refused).toHaveBeenCalledOnce();
    expect(result.current).toMatchObject({ taken: null, reading: "" });
  });
});
