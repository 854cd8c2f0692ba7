import { render, screen } from "@testing-library/react";
import { expect, it } from "vitest";
import type { SocketShape } from "../../api/results";
import { UnitsProvider } from "../../units/units-context";
import { ShapeChange } from "./shape-change";

it("says that the volumes are those below the trim line's lowest point", () => {
  const shape = { limb_volume_ml: 896, lined_volume_ml: 1168, model_volume_ml: 1067, girths: [] };
  render(
    <UnitsProvider>
      <ShapeChange shape={shape as unknown as SocketShape} />
    </UnitsProvider>,
  );
  const heading = screen.getByRole("heading", {
    name: "Volume below the trim line’s lowest point",
  });
  expect(heading.nextElementSibling?.textContent).toContain("896");
});
