import { render, screen, within } from "@testing-library/react";
import { expect, it } from "vitest";
import type { Coupling } from "../../api/results";
import { UnitsProvider } from "../../units/units-context";
import { Withdrawals } from "./withdrawal";

const catches = {
  catch_mm: 15.4,
  level_mm: 22,
  angle_deg: 0,
  narrow_level_mm: -26,
  trim_to_mm: null,
  free_catch_mm: 15.4,
  free_tilt_deg: 0,
  free_angle_deg: 0,
};

function offered(model: object): string[] {
  const coupling = { withdrawal: model, limb_withdrawal: null, dummy_withdrawal: null };
  render(
    <UnitsProvider>
      <Withdrawals coupling={coupling as unknown as Coupling} />
    </UnitsProvider>,
  );
  return within(screen.getByRole("list"))
    .getAllByRole("listitem")
    .map((item) => item.textContent.replaceAll("\u00a0", " "));
}

it("offers no lower trim line where none is worth it, and begins with what is left", () => {
  expect(offered(catches)).toEqual([
    "Lessen the relief that stands there, or break the cast open.",
  ]);
});

it("joins every way that there is by an or", () => {
  expect(
    offered({
      ...catches,
      trim_to_mm: 8,
      free_catch_mm: 8.5,
      free_tilt_deg: 15,
      free_angle_deg: 135,
    }),
  ).toEqual([
    "Draw it 15° towards anterior-medial: 8.5 mm are left.",
    "Or cut the trim line lateral down to 8 mm below MPT.",
    "Or lessen the relief that stands there, or break the cast open.",
  ]);
});
