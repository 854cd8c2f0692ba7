import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { beforeEach, describe, expect, it, vi } from "vitest";
import { chooseScheme, onScheme, startScheme } from "./scheme";
import { SchemeSwitch } from "./scheme-switch";

let dark = false;
let tell = (): void => undefined;
const shown = (): string | undefined => document.documentElement.dataset.scheme;

beforeEach(() => {
  dark = false;
  localStorage.clear();
  vi.stubGlobal("matchMedia", () => ({
    get matches() {
      return dark;
    },
    addEventListener: (_: string, listener: () => void) => {
      tell = listener;
    },
  }));
});

describe("light and dark", () => {
  it("follow the system until one is chosen", () => {
    startScheme();
    expect(shown()).toBe("light");
    dark = true;
    tell();
    expect(shown()).toBe("dark");
    chooseScheme("light");
    tell();
    expect(shown()).toBe("light");
  });

  it("are kept in this browser and taken up again", () => {
    startScheme();
    chooseScheme("dark");
    document.documentElement.dataset.scheme = "light";
    startScheme();
    expect(shown()).toBe("dark");
  });

  it("are chosen by a switch, and pictures are told after the page has turned", async () => {
    startScheme();
    const seen: (string | undefined)[] = [];
    const stop = onScheme(() => seen.push(shown()));
    render(<SchemeSwitch />);
    await userEvent.selectOptions(screen.getByLabelText("Light or dark page"), "● Dark");
    stop();
    expect(seen).toEqual(["dark"]);
    expect(screen.getByLabelText("Light or dark page")).toHaveValue("dark");
  });
});
