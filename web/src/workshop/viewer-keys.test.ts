import { describe, expect, it, vi } from "vitest";
import type { Steered } from "../viewer/limb-viewer";
import { handleViewKey, viewKeysWords } from "./viewer-keys";

describe("the keys of the picture", () => {
  it("are told as they act", () => {
    const words = viewKeysWords("it");
    expect(words).toBe("F, B, O, I, A and U choose a view, 0 fits it");
    const viewer = { look: vi.fn(), fit: vi.fn() };
    const told = words.match(/\b[A-Z0]\b/g) ?? [];
    const acted = told.filter((key) => handleViewKey(key, viewer as unknown as Steered));
    expect(acted).toEqual(["F", "B", "O", "I", "A", "U", "0"]);
    expect(viewer.look.mock.calls.flat()).toEqual([
      "front",
      "back",
      "outer",
      "inner",
      "above",
      "below",
    ]);
    expect(viewer.fit).toHaveBeenCalledOnce();
  });
});
