import { beforeEach, describe, expect, it } from "vitest";
import { splitFragment, takeToken } from "./token";

describe("the key in the address", () => {
  beforeEach(() => {
    sessionStorage.clear();
    history.replaceState(null, "", "/");
  });

  it("is taken once and removed from the address", () => {
    history.replaceState(null, "", "/#token=ab-c_9");
    expect(takeToken()).toBe("ab-c_9");
    expect(location.hash).toBe("");
    expect(takeToken()).toBe("ab-c_9");
  });

  it("leaves the place in the page that stood behind it", () => {
    expect(splitFragment("#token=k&/case/a/shape")).toEqual({ given: "k", rest: "#/case/a/shape" });
  });

  it("is not seen in an ordinary address", () => {
    expect(splitFragment("#/case/token=1/shape").given).toBeNull();
    expect(takeToken()).toBeNull();
  });
});
