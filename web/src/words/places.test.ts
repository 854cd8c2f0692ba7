import { describe, expect, it } from "vitest";
import { smallDocument } from "../state/testing";
import { placeWords } from "./places";

describe("a place of the document in words", () => {
  it("names the area and leaves the unit away", () => {
    expect(placeWords("shape.areas[0].depth_mm", smallDocument())).toBe("Shape, popliteal, depth");
  });

  it("counts what has no name from one, and reads names that are keys", () => {
    expect(placeWords("shape.take_up.1.girth_percent", smallDocument())).toBe(
      "Shape, take up 2, girth",
    );
    expect(placeWords("person.mass_kg", null)).toBe("Person, mass");
  });
});
