import { render, screen } from "@testing-library/react";
import { describe, expect, it } from "vitest";
import { LineChart } from "../components/line-chart";
import { UnitsProvider } from "../units/units-context";
import { bandsTo } from "../viewer/ramps";
import { Legend } from "./legend";
import type { Painting } from "./painting";

function shown(unit: string): (string | null)[] {
  const painting: Painting = {
    paint: { values: new Float32Array([0, 4]), ramp: bandsTo(4) },
    title: "Measured",
    unit,
  };
  const { container } = render(
    <UnitsProvider>
      <Legend painting={painting} under={null} label={null} />
    </UnitsProvider>,
  );
  return [...container.querySelectorAll("text")].map(({ textContent }) => textContent);
}

describe("how finely a figure is told", () => {
  it("gives a legend of pressures no tenths of a kPa, however small its scale", () => {
    expect(shown("mm")).toContain("0.5");
    for (const tick of shown("kPa")) {
      expect(tick).toMatch(/^\d+$/);
    }
  });

  it("reads a curve of pressures to the digits that it is given", () => {
    const chart = { x: [0, 1], xLabel: "around", yLabel: "kPa" };
    const series = [{ name: "Standing", values: [12.34, 56.78], style: 1 }] as const;
    render(<LineChart title="Pressure" {...chart} series={series} digits={0} />);
    expect(screen.getByRole("img").getAttribute("aria-label")).toBe(
      "Pressure, kPa: Standing from 12 to 57",
    );
  });
});
