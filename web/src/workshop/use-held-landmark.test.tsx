import { act, renderHook } from "@testing-library/react";
import type { ReactNode } from "react";
import { describe, expect, it, vi } from "vitest";
import type { LandmarkPreview } from "../api/replies";
import { ServiceProvider } from "../case/service-context";
import { FakeService } from "../state/testing";
import { useHeldLandmark } from "./use-held-landmark";

vi.mock("../case/case-context", () => ({ useCaseState: () => ({ id: "a", refusal: null }) }));
vi.mock("./use-viewer", () => ({ useResults: () => null }));

describe("a landmark that is held", () => {
  it("is asked for by its own name while another one's answer is still awaited", async () => {
    const asked: string[] = [];
    const answers: ((preview: LandmarkPreview) => void)[] = [];
    const service = Object.assign(new FakeService(), {
      landmarkPreview: (_id: string, name: string, at: readonly number[]) => {
        asked.push(`${name} at ${at.join(" ")}`);
        return new Promise<LandmarkPreview>((resolve) => {
          answers.push(resolve);
        });
      },
    });
    const answer = (lowerMm: number): Promise<void> =>
      act(async () => answers.shift()?.({ lower_mm: lowerMm } as LandmarkPreview));
    const wrapper = ({ children }: { children: ReactNode }) => (
      <ServiceProvider service={service}>{children}</ServiceProvider>
    );
    const { result } = renderHook(useHeldLandmark, { wrapper });
    act(() => result.current.hold("fibular_head", [1, 2, 3]));
    act(() => result.current.hold("fibular_head", null));
    act(() => result.current.hold("limb_end", [4, 5, 6]));
    await answer(1);
    expect(result.current.held).toBeNull();
    await answer(2);
    expect(asked).toEqual(["fibular_head at 1 2 3", "limb_end at 4 5 6"]);
    expect(result.current.held).toMatchObject({ name: "limb_end", preview: { lower_mm: 2 } });
  });
});
