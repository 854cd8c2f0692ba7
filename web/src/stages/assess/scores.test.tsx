import { render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { describe, expect, it, vi } from "vitest";
import type { Score } from "../../api/document";
import type { ScoreReading } from "../../api/results";
import { UnitsProvider } from "../../units/units-context";
import { Scores } from "./scores";

const here = vi.hoisted(() => ({
  scores: [] as readonly Score[],
  readings: [] as readonly ScoreReading[],
}));

vi.mock("../../case/case-context", async (original) => ({
  ...(await original<object>()),
  useSection: () => {
    const [scores, setScores] = useState(here.scores);
    return [{ scores }, (part: { scores: readonly Score[] }) => setScores(part.scores)];
  },
}));

vi.mock("../../workshop/use-viewer", () => ({ useResults: () => ({ scores: here.readings }) }));

const reading = (measure: string, cutOff: string): ScoreReading => ({
  measure,
  value: 12,
  unit: "s",
  on: "2026-05-04",
  class_by_cut_off: cutOff,
  class_by_nearest_mean: null,
  change: null,
  least_change: null,
});

function shown(scores: readonly Score[]): void {
  here.scores = scores;
  render(
    <UnitsProvider>
      <Scores />
    </UnitsProvider>,
  );
}

describe("the scores of outcome measures", () => {
  it("read each measure's own class where two have one total on one day", () => {
    here.readings = [reading("timed_up_and_go", "K3"), reading("four_square_step", "K2")];
    shown([
      { measure: "timed_up_and_go", value: 12, on: "2026-05-04" },
      { measure: "four_square_step", value: 12, on: "2026-05-04" },
    ]);
    const row = (name: RegExp): HTMLElement => screen.getByRole("row", { name });
    expect(within(row(/^Timed up and go/)).getByText("K3")).toBeInTheDocument();
    expect(within(row(/^Four square step/)).getByText("K2")).toBeInTheDocument();
  });

  it("hand the focus to their heading when one is removed by key", async () => {
    const user = userEvent.setup();
    shown([
      { measure: "timed_up_and_go", value: 12, on: "2026-05-04" },
      { measure: "l_test", value: 30, on: "2026-05-04" },
    ]);
    screen.getByRole("button", { name: /Timed up and go/ }).focus();
    await user.keyboard("{Enter}");
    expect(screen.queryByRole("row", { name: /^Timed up and go/ })).toBeNull();
    expect(screen.getByRole("heading", { name: "Scores" })).toHaveFocus();
  });
});
