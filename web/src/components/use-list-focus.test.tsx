import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { describe, expect, it } from "vitest";
import { useListFocus } from "./use-list-focus";

/** Entries without a name of their own: the button of the one removed is the next one's. */
function Levels() {
  const [levels, setLevels] = useState([10, 20, 30]);
  const { heading, removing } = useListFocus(levels.length);
  return (
    <>
      <h3 {...heading}>Levels</h3>
      {levels.map((level, index) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: as the lists of the page are keyed
        <p key={index}>
          {level}
          <button
            type="button"
            onClick={() => removing(() => setLevels(levels.filter((_, i) => i !== index)))}
          >
            Remove
          </button>
        </p>
      ))}
      <button type="button" onClick={() => setLevels([10])}>
        Take back
      </button>
      <button type="button" onClick={() => setLevels([...levels, 40])}>
        Add
      </button>
    </>
  );
}

const heading = () => screen.getByRole("heading", { name: "Levels" });

describe("the focus in a list", () => {
  it("goes to the heading when an entry is removed, never to the next one's button", async () => {
    const user = userEvent.setup();
    render(<Levels />);
    await user.tab();
    await user.keyboard("{Enter}");
    expect(screen.queryByText("10")).toBeNull();
    expect(heading()).toHaveFocus();
    await user.keyboard("{Enter} ");
    expect(screen.getAllByRole("button", { name: "Remove" })).toHaveLength(2);
    await user.tab();
    expect(screen.getAllByRole("button", { name: "Remove" })[0]).toHaveFocus();
  });

  it("stays where it is when entries go or come by anything else", async () => {
    const user = userEvent.setup();
    render(<Levels />);
    for (const name of ["Take back", "Add"]) {
      await user.click(screen.getByRole("button", { name }));
      expect(screen.getByRole("button", { name })).toHaveFocus();
    }
  });
});
