import { fireEvent, render, screen } from "@testing-library/react";
import { useState } from "react";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { DateField } from "./date-field";

// No service stands behind a field on its own.
vi.mock("../case/case-context", () => ({ useProblem: () => null }));

const AHEAD = "This day is yet to come.";

function Day({ first, ahead }: { first: string; ahead?: string }) {
  const [day, setDay] = useState(first);
  return (
    <DateField
      label="Day"
      value={day}
      onChange={setDay}
      {...(ahead === undefined ? {} : { ahead })}
    />
  );
}

describe("the day of what has happened", () => {
  beforeEach(() => {
    vi.useFakeTimers({ toFake: ["Date"], now: new Date(2026, 4, 20, 23, 30) });
  });
  afterEach(() => {
    vi.useRealTimers();
  });

  it("is said to lie ahead from the next day on, and taken as it was entered", () => {
    render(<Day first="2026-05-20" ahead={AHEAD} />);
    const field = screen.getByLabelText("Day");
    expect(screen.queryByText(AHEAD)).toBeNull();
    fireEvent.change(field, { target: { value: "2026-05-21" } });
    expect(screen.getByText(AHEAD)).toBeVisible();
    expect(field).toHaveAccessibleDescription(AHEAD);
    expect(field).toHaveValue("2026-05-21");
    fireEvent.change(field, { target: { value: "2026-05-19" } });
    expect(screen.queryByText(AHEAD)).toBeNull();
  });

  it("may lie ahead where nothing says that it may not", () => {
    render(<Day first="2030-02-03" />);
    expect(screen.queryByText(AHEAD)).toBeNull();
  });
});
