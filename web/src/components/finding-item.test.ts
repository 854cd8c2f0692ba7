import { expect, it } from "vitest";
import { limitName } from "./finding-item";

it("calls what is only usual no limit", () => {
  expect(limitName({ at_least: false, usual: true })).toBe("Usual up to");
  expect(limitName({ at_least: true, usual: true })).toBe("Usual from");
  expect(limitName({ at_least: false, usual: false })).toBe("Limit");
  expect(limitName({ at_least: true, usual: false })).toBe("At least");
});
