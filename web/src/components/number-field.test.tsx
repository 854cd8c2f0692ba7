import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { beforeEach, describe, expect, it, vi } from "vitest";
import { UnitsProvider } from "../units/units-context";
import { UnitSwitch } from "../workshop/unit-switch";
import { NumberField } from "./number-field";

const stores = vi.fn();

function Field({ first }: { first: number | null }) {
  const [value, setValue] = useState(first);
  const store = (next: number | null): void => {
    stores(next);
    setValue(next);
  };
  return (
    <UnitsProvider>
      <UnitSwitch />
      <NumberField
        label="Depth"
        value={value}
        unit="mm"
        step={0.5}
        fallback="default"
        onChange={store}
        onDefault={() => store(null)}
      />
      <button type="button">Elsewhere</button>
    </UnitsProvider>
  );
}

describe("a number field", () => {
  beforeEach(() => {
    stores.mockClear();
    localStorage.clear();
  });

  it("stores nothing by being passed through or by a change of units and back", async () => {
    const user = userEvent.setup();
    render(<Field first={4.123456} />);
    const field = screen.getByLabelText("Depth");
    await user.click(field);
    await user.tab();
    await user.click(screen.getByLabelText("inch"));
    expect(field).toHaveValue("0.16");
    await user.click(field);
    await user.tab();
    await user.click(screen.getByLabelText("mm"));
    expect(field).toHaveValue("4.1");
    expect(stores).not.toHaveBeenCalled();
  });

  it("stores the typed value on leaving it, in millimetres whatever is shown", async () => {
    const user = userEvent.setup();
    render(<Field first={4} />);
    await user.click(screen.getByLabelText("inch"));
    const field = screen.getByLabelText("Depth");
    await user.clear(field);
    await user.type(field, "0,25{Enter}");
    expect(stores).toHaveBeenLastCalledWith(6.35);
    expect(field).toHaveValue("0.25");
  });

  it("steps with the arrows, ten steps with shift, and goes back with escape", async () => {
    const user = userEvent.setup();
    render(<Field first={3.2} />);
    const field = screen.getByLabelText("Depth");
    await user.click(field);
    await user.keyboard("{ArrowUp}");
    expect(stores).toHaveBeenLastCalledWith(3.5);
    await user.keyboard("{Shift>}{ArrowDown}{/Shift}");
    expect(stores).toHaveBeenLastCalledWith(-1.5);
    stores.mockClear();
    await user.clear(field);
    await user.type(field, "77{Escape}");
    await user.tab();
    expect(field).toHaveValue("-1.5");
    expect(stores).not.toHaveBeenCalled();
  });

  it("says what cannot be read and keeps the stored value", async () => {
    const user = userEvent.setup();
    render(<Field first={3} />);
    const field = screen.getByLabelText("Depth");
    await user.clear(field);
    await user.type(field, "three");
    await user.click(screen.getByText("Elsewhere"));
    expect(field).toHaveAccessibleDescription("“three” is not a number.");
    expect(field).toBeInvalid();
    expect(stores).not.toHaveBeenCalled();
  });

  it("returns to its default when it is emptied", async () => {
    const user = userEvent.setup();
    render(<Field first={3} />);
    const field = screen.getByLabelText("Depth");
    await user.clear(field);
    await user.tab();
    expect(stores).toHaveBeenLastCalledWith(null);
    expect(field).toHaveAttribute("placeholder", "default");
  });
});
