import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { describe, expect, it, vi } from "vitest";
import type { CouponPlan } from "../../api/document";
import { UnitsProvider } from "../../units/units-context";
import { CouponForm } from "./coupon-form";

interface Coupons {
  readonly specimens: readonly CouponPlan[];
  readonly source: string;
}

vi.mock("../../case/case-context", async (original) => ({
  ...(await original<object>()),
  useSection: () => {
    const [coupons, setCoupons] = useState<Coupons>({ specimens: [], source: "" });
    return [{ coupons }, (part: { coupons: Coupons }) => setCoupons(part.coupons)];
  },
}));

describe("coupons of one's own", () => {
  it("leave the focus on their heading, not on the next one's button, when one is removed", async () => {
    const user = userEvent.setup();
    render(
      <UnitsProvider>
        <CouponForm />
      </UnitsProvider>,
    );
    const add = screen.getByRole("button", { name: "Add a specimen" });
    await user.click(add);
    await user.click(add);
    screen.getAllByRole("button", { name: "Remove this specimen" })[0]?.focus();
    await user.keyboard("{Enter}");
    expect(screen.getByRole("heading", { name: "Own coupon test" })).toHaveFocus();
    await user.keyboard("{Enter}");
    expect(screen.getAllByRole("button", { name: "Remove this specimen" })).toHaveLength(1);
  });
});
