import { render, screen } from "@testing-library/react";
import { expect, it } from "vitest";
import type { Coupling } from "../../api/results";
import { UnitsProvider } from "../../units/units-context";
import { HeightStack } from "./height-stack";

const items = [
  { name: "limb and liner", height_mm: 126.2, basis: "measured", part: "" },
  { name: "coupling body", height_mm: 32.42, basis: "default", part: "" },
];
const height = {
  datum_floor_mm: 488.2,
  datum_basis: "estimated",
  items,
  pylon_mm: 195.1,
  pylon_minimum_mm: 75,
  slack_mm: 0,
  clearance_mm: 360,
} as unknown as Coupling["height"];

it("tells a body's own height beside what it rises on its tilted axis, to a tenth", () => {
  render(
    <UnitsProvider>
      <HeightStack height={height} bodyMm={32.5} />
    </UnitsProvider>,
  );
  expect(
    screen.getByText(/body is 32\.5\smm high; on its tilted axis it rises 32\.4\smm/),
  ).toBeDefined();
  expect(screen.getAllByText(/^32\.4\smm$/).length).toBe(2);
});

it("says nothing of a tilt that changes no tenth", () => {
  render(
    <UnitsProvider>
      <HeightStack height={height} bodyMm={32.42} />
    </UnitsProvider>,
  );
  expect(screen.queryByText(/tilted axis/)).toBeNull();
});
