import { render, screen } from "@testing-library/react";
import { expect, it } from "vitest";
import type { Point } from "../../api/document";
import type { CasePressure } from "../../api/results";
import { UnitsProvider } from "../../units/units-context";
import { PoseFacts } from "./pose-facts";

// A limb that shifts 0.1 mm laterally at the datum and tilts its lower end medially by 0.02.
const shown = {
  load_case: "standing",
  pose: { shift_mm: [0.1, -0.5, 1.8], turn_rad: [0, 0.02, 0] },
  contact_share: 1,
  residual: 0,
} as unknown as CasePressure;

function told(middle: Point | null) {
  render(
    <UnitsProvider>
      <PoseFacts shown={shown} middle={middle} />
    </UnitsProvider>,
  );
}

it("tells the shift and rise of the limb in the middle of the socket, and says so", () => {
  told([10, 0, -60]);
  expect(screen.getByText("Shifts medially by").nextSibling?.textContent).toMatch(/^1\.1\smm$/);
  expect(screen.getByText("Rises by").nextSibling?.textContent).toMatch(/^1\.6\smm$/);
  expect(screen.getByText(/of the limb in the middle of the socket/)).toBeDefined();
});

it("names the datum where nothing says how far the socket reaches", () => {
  told(null);
  expect(screen.getByText("Shifts laterally by").nextSibling?.textContent).toMatch(/^0\.1\smm$/);
  expect(screen.getByText(/at the level of the mid-patellar tendon/)).toBeDefined();
});
