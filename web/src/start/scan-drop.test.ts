import { describe, expect, it } from "vitest";
import { takenOf } from "./scan-drop";

const files = (...names: string[]): File[] => names.map((name) => new File(["x"], name));

describe("files dropped on the page", () => {
  it("are taken without a word when there is one", () => {
    expect(takenOf(files("limb.stl"))).toMatchObject({ file: { name: "limb.stl" }, note: "" });
  });

  it("are taken one alone, the first that can be a scan, and it is said which", () => {
    const taken = takenOf(files("tape.csv", "limb.PLY", "other.stl"));
    expect(taken?.file.name).toBe("limb.PLY");
    expect(taken?.note).toBe(
      "3 files were dropped. A case takes one scan: limb.PLY is taken; tape.csv, other.stl are left out.",
    );
  });

  it("are still named when none of them looks like a scan", () => {
    const taken = takenOf(files("a.pdf", "b.pdf"));
    expect(taken?.note).toBe(
      "2 files were dropped. A case takes one scan: a.pdf is taken; b.pdf is left out.",
    );
  });

  it("are nothing when no file was dropped", () => {
    expect(takenOf([])).toBeNull();
  });
});
