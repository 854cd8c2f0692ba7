import { describe, expect, it } from "vitest";
import type { MaterialEntry } from "../../api/replies";
import { materialChoice } from "./material-choice";

const MATERIALS: readonly MaterialEntry[] = [
  { key: "a_print", name: "printed A", process: "printed" },
  { key: "b_print", name: "powder-bed B", process: "printed" },
  { key: "c_sheet", name: "C sheet", process: "check_socket" },
];

describe("the material of a socket", () => {
  it("is chosen by name among those for the way it is made", () => {
    const choice = materialChoice(MATERIALS, { process: "printed", material: "b_print" });
    expect(choice.options.map(({ label }) => label)).toEqual(["Printed A", "Powder-bed B"]);
    expect(choice).toMatchObject({ value: "b_print", own: false });
  });

  it("stays in sight when it does not go with the way it is made", () => {
    const choice = materialChoice(MATERIALS, { process: "check_socket", material: "a_print" });
    expect(choice.value).toBe("a_print");
    expect(choice.options[0]?.label).toContain("not for this way of making");
    expect(choice.options[1]?.label).toBe("C sheet");
  });

  it("may be one that no table knows", () => {
    const choice = materialChoice(MATERIALS, { process: "printed", material: "our lay-up" });
    expect(choice).toMatchObject({ value: "own", own: true });
  });
});
