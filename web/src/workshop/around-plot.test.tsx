import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { beforeEach, describe, expect, it, vi } from "vitest";
import { UnitsProvider } from "../units/units-context";
import { AroundPlot } from "./around-plot";
import { UnitSwitch } from "./unit-switch";

vi.mock("../case/case-context", async (original) => ({
  ...(await original<object>()),
  useDocument: () => ({ person: { side: "left" } }),
}));
vi.mock("./use-viewer", () => ({ useArrays: () => new Map() }));
vi.mock("../case/view-context", () => ({
  useView: () => ({ settings: { loadCase: "standing" } }),
}));
vi.mock("./around-level", async (original) => ({
  ...(await original<object>()),
  // As far as a slider's step, and less than a figure of it.
  aroundLevel: () => ({ angles: [0, 90, 180], offset: [3, -0.02, -3], pressure: [0, 40, 80] }),
}));

describe("what is read around a level", () => {
  beforeEach(() => {
    localStorage.clear();
  });

  it("has the digits of the unit that is shown, and no minus before zero", async () => {
    const user = userEvent.setup();
    render(
      <UnitsProvider>
        <UnitSwitch />
        <AroundPlot levelMm={40} />
      </UnitsProvider>,
    );
    const space = (): HTMLElement => screen.getByRole("img", { name: /^Space around the level/ });
    expect(space()).toHaveAccessibleName(/Space added from −3\.0 to 3\.0$/);
    await user.click(screen.getByLabelText("inch"));
    // 3/25.4 = 0.118
    expect(space()).toHaveAccessibleName(/Space added from −0\.12 to 0\.12$/);
    space().focus();
    await user.keyboard("{ArrowRight}{ArrowRight}");
    expect(screen.getByText("0.00")).toBeInTheDocument();
    expect(screen.queryByText("−0.00")).toBeNull();
  });
});
