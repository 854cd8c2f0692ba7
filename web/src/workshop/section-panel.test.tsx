import { act, render, screen } from "@testing-library/react";
import { beforeEach, describe, expect, it, vi } from "vitest";
import type { CaseSection } from "../api/replies";
import { ServiceProvider } from "../case/service-context";
import { FakeService } from "../state/testing";
import { touchOf } from "../state/touched";
import { UnitsProvider } from "../units/units-context";
import { nearestWay, SectionPanel, useCaseSection } from "./section-panel";

const UNEDITED = { id: "a", evaluated: { revision: 1 }, uncovered: [] as object[] };
const here = vi.hoisted(() => ({ state: {} }));

vi.mock("../case/case-context", async (original) => ({
  ...(await original<object>()),
  useCaseState: () => here.state,
}));
vi.mock("./around-plot", () => ({ AroundPlot: () => null }));

const CUT = {
  level_mm: 40,
  outlines: {},
  middle_mm: [0, 0],
  around: [],
  readings: { lateral: { angle_deg: 0, space_mm: 2, wall_mm: 4, cover_mm: 9 } },
} as unknown as CaseSection;

function Panel({ levelMm }: { levelMm: number }) {
  const section = useCaseSection(levelMm);
  return (
    <SectionPanel
      {...section}
      levelMm={levelMm}
      limb={null}
      side="left"
      onLevel={() => undefined}
    />
  );
}

describe("the cross-section of a case", () => {
  beforeEach(() => {
    here.state = UNEDITED;
  });

  it("is dimmed from an edit that it rests on until it is cut anew; its level never is", async () => {
    const answers: (() => void)[] = [];
    const service = Object.assign(new FakeService(), {
      section: () =>
        new Promise<CaseSection>((resolve) => {
          answers.push(() => resolve(CUT));
        }),
    });
    const page = () => (
      <ServiceProvider service={service}>
        <UnitsProvider>
          <Panel levelMm={40} />
        </UnitsProvider>
      </ServiceProvider>
    );
    const { rerender } = render(page());
    const becomes = (state: object): void => {
      here.state = state;
      rerender(page());
    };
    const dimmed = (): boolean => screen.getByRole("table").closest(".stale") !== null;
    await act(async () => answers.shift()?.());
    expect(dimmed()).toBe(false);
    becomes({ ...UNEDITED, uncovered: [{ edit: 1, ...touchOf(["title"]) }] });
    expect(dimmed()).toBe(false);
    becomes({ ...UNEDITED, uncovered: [{ edit: 2, ...touchOf(["shape"]) }] });
    expect(dimmed()).toBe(true);
    expect(screen.getByLabelText("Level below MPT").closest(".stale")).toBeNull();
    // Evaluated, but not cut anew yet.
    becomes({ ...UNEDITED, evaluated: { revision: 2 } });
    expect(dimmed()).toBe(true);
    await act(async () => answers.shift()?.());
    expect(dimmed()).toBe(false);
  });
});

describe("the way of a cross-section that is read", () => {
  it("is the nearest by the angle from outward to front", () => {
    expect(nearestWay(72, 50, 0)).toBe(0);
    expect(nearestWay(72, 0, 3)).toBe(18);
    expect(nearestWay(72, -20, 0)).toBe(36);
    expect(nearestWay(72, 0, -20)).toBe(54);
    // A little behind outward is nearer to outward than to the last place before it.
    expect(nearestWay(72, 50, -1)).toBe(0);
    expect(nearestWay(72, 50, -4)).toBe(71);
  });
});
