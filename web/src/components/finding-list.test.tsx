import { render, screen, within } from "@testing-library/react";
import { describe, expect, it, vi } from "vitest";
import type { Finding } from "../api/results";
import { countOf, KINDS } from "../case/findings-shown";
import { UnitsProvider } from "../units/units-context";
import { FindingList } from "./finding-list";

// A finding's own row needs a case around it; here they are only counted.
vi.mock("./finding-item", () => ({
  FindingItem: ({ finding }: { finding: Finding }) => <li>{finding.code}</li>,
  findingKey: ({ code }: Finding) => code,
}));

const finding = (code: string, severity: Finding["severity"], accepted = ""): Finding =>
  ({ stage: "prove", code, where: "", severity, accepted }) as Finding;

const FOUND = [
  finding("open", "warning"),
  finding("unknown", "not established"),
  finding("taken", "warning", "seen on the limb"),
  finding("said", "note"),
  finding("holds", "ok"),
  finding("holds too", "ok"),
];

function shown(findings: readonly Finding[]) {
  render(
    <UnitsProvider>
      <FindingList findings={findings} />
    </UnitsProvider>,
  );
  return screen.getByRole("region", { name: "Findings of this stage" });
}

describe("the findings of a panel", () => {
  it("are counted as in the strip: what holds is no note, and what was accepted is not open", () => {
    const panel = shown(FOUND);
    expect(panel.querySelector("summary")).toHaveTextContent("1 accepted, 1 note, 2 that hold");
    expect(KINDS.map((kind) => [kind, countOf(FOUND, kind)])).toEqual([
      ["stop", 0],
      ["not established", 1],
      ["warning", 1],
      ["accepted", 1],
      ["note", 1],
      ["ok", 2],
    ]);
    const [first] = within(panel).getAllByRole("list");
    expect([...(first?.children ?? [])].map((one) => one.textContent)).toEqual(["open", "unknown"]);
  });

  it("name one that holds in the singular", () => {
    expect(shown([finding("holds", "ok")]).querySelector("summary")).toHaveTextContent(
      /^1 that holds$/,
    );
  });
});
