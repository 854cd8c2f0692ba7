import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { expect, it } from "vitest";
import { UnitsProvider } from "../units/units-context";
import { waitsFor } from "./new-case";
import { PersonEntry, UNKNOWN_PERSON } from "./person-entry";

function Entry() {
  const [person, setPerson] = useState(UNKNOWN_PERSON);
  return (
    <UnitsProvider>
      <PersonEntry
        person={person}
        title=""
        onTitle={() => undefined}
        onPerson={(part) => setPerson((now) => ({ ...now, ...part }))}
      />
      <p>{waitsFor(true, person, [])}</p>
    </UnitsProvider>
  );
}

it("says at the field what cannot be a person's, and takes the unit that was meant", async () => {
  const user = userEvent.setup();
  render(<Entry />);
  const stature = screen.getByLabelText("Stature");
  await user.type(stature, "1750");
  await user.tab();
  expect(screen.getByText(/^Still needed/).textContent).not.toContain("stature");
  await user.clear(stature);
  await user.type(stature, "178");
  await user.tab();
  expect(screen.getByText(/178\smm cannot be used/)).toBeDefined();
  expect(screen.getByText(/^Still needed/).textContent).toContain("stature");
  await user.click(screen.getByRole("button", { name: /178\scm\?/ }));
  expect((stature as HTMLInputElement).value).toBe("1780");
  expect(screen.queryByText(/cannot be used/)).toBeNull();
  expect(screen.getByText(/^Still needed/).textContent).not.toContain("stature");
});

it("says at the field that nobody weighs so much, and offers nothing", async () => {
  const user = userEvent.setup();
  render(<Entry />);
  await user.type(screen.getByLabelText("Body mass"), "820");
  await user.tab();
  expect(screen.getByText(/820\skg cannot be used: from 20\skg to 250\skg/)).toBeDefined();
  expect(screen.queryByRole("button", { name: /\?$/ })).toBeNull();
  expect(screen.getByText(/^Still needed/).textContent).toContain("body mass");
});
