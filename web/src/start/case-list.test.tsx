import { render } from "@testing-library/react";
import { describe, expect, it } from "vitest";
import type { CaseEntry } from "../api/replies";
import { isAlone, Standing } from "./case-list";

const told = (part: Partial<CaseEntry>): string => {
  const none = { waits_at: "", stands_at: "fit", stop: 0, not_established: 0, warning: 0 };
  const entry = { ...none, accepted: 0, ...part } as CaseEntry;
  return (render(<Standing entry={entry} />).container.textContent ?? "").replace(/\s+/g, " ");
};

describe("a line of the list of cases", () => {
  it("says what is open before it says in which stage the job stands", () => {
    const words = told({ warning: 9, not_established: 1, stands_at: "capture" });
    expect(words).toMatch(/Not established 1.*Warning 9.*Stands at Capture/);
    expect(words).not.toContain("Nothing");
  });

  it("says where the job waits, even where no finding tells why", () => {
    expect(told({ waits_at: "capture", stands_at: "capture" })).toBe("Waits at Capture");
  });

  it("counts what was accepted apart", () => {
    expect(told({ accepted: 2 })).toMatch(/Nothing is open.*Stands at Fit.*2 accepted/);
  });

  it("says that a case was never computed", () => {
    expect(told({ waits_at: null, stands_at: null })).toMatch(/Not computed yet/);
  });
});

describe("cases that title and code do not tell apart", () => {
  const named = (id: string, title: string, code: string): CaseEntry =>
    ({ id, title, code, folder: id }) as CaseEntry;

  it("are those with the same of both", () => {
    const [one, two, other] = [named("a", "", "p"), named("b", "", "p"), named("c", "", "q")];
    const all = [one, two, other];
    expect(all.map((entry) => isAlone(entry, all))).toEqual([false, false, true]);
  });

  it("are not those whose titles differ", () => {
    const all = [named("a", "first", "p"), named("b", "second", "p")];
    expect(all.every((entry) => isAlone(entry, all))).toBe(true);
  });

  it("are those that have neither", () => {
    const nameless = named("a", "", "");
    expect(isAlone(nameless, [nameless])).toBe(false);
  });
});
