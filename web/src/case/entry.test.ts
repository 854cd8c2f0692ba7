import { afterEach, describe, expect, it, vi } from "vitest";
import { findEntry, showEntry } from "./entry";

function page(html: string): HTMLElement {
  document.body.innerHTML = html;
  return document.body;
}

afterEach(() => page(""));

const FIELD = { kind: "field", words: "Under load" } as const;
const TAKE = { kind: "button", words: "Take" } as const;

describe("what a step leads to", () => {
  it("is the entry in the stage's panel before the one beside the limb", () => {
    const root = page(`
      <div class="limb-view"><label for="a">Under load</label><select id="a"></select></div>
      <main class="panel"><label for="b">Under load</label><select id="b"></select></main>`);
    expect(findEntry([FIELD], root)?.id).toBe("b");
  });

  it("is found beside the limb where the panel has none", () => {
    const root = page(`<main class="panel"></main>
      <div class="limb-view"><label><input type="checkbox" id="c">Under load</label></div>`);
    expect(findEntry([FIELD], root)?.id).toBe("c");
  });

  it("is never a button that cannot be used, nor the guide's own", () => {
    const root = page(`<section class="guide"><button>Take</button></section>
      <main class="panel"><button disabled>Take A</button></main>`);
    expect(findEntry([TAKE], root)).toBeNull();
  });

  it("is the next best where the first is not there", () => {
    const root = page(`<main class="panel"><button id="d">Take <i>B</i></button></main>`);
    expect(findEntry([FIELD, TAKE], root)?.id).toBe("d");
  });

  it("is unfolded, scrolled to and outlined until the focus leaves it", () => {
    const root = page(`<main class="panel"><details id="fold"><summary>More</summary>
      <button id="e">Take</button></details></main>`);
    const entry = findEntry([TAKE], root) as HTMLElement;
    entry.scrollIntoView = vi.fn();
    showEntry(entry);
    expect((document.getElementById("fold") as HTMLDetailsElement).open).toBe(true);
    expect(entry.scrollIntoView).toHaveBeenCalled();
    expect(entry).toHaveFocus();
    expect(entry).toHaveAttribute("data-shown");
    entry.blur();
    expect(entry).not.toHaveAttribute("data-shown");
  });
});
