import { useEffect } from "react";
import { useInfo } from "../case/case-context";
import { useGoToStage } from "../case/wanted-entry";

/** Words for the key of a stage, counted from 1; browsers and screen readers leave these free. */
export function stageKey(number: number): string {
  return `Alt Shift ${number.toString()}`;
}

/** The number that a key asks for, or null: the place of the key counts, not what it types. */
export function stageNumber(event: KeyboardEvent): number | null {
  const digit = /^Digit([1-9])$/.exec(event.code)?.[1];
  const held = event.altKey && event.shiftKey && !event.ctrlKey && !event.metaKey;
  return held && digit !== undefined ? Number(digit) : null;
}

/** Alt, Shift and a digit lead to the panel of that stage from anywhere on the page. */
export function useStageKeys(): void {
  const { stages } = useInfo();
  const goTo = useGoToStage();
  useEffect(() => {
    const onKeyDown = (event: KeyboardEvent): void => {
      const stage = stages[(stageNumber(event) ?? 0) - 1];
      if (stage !== undefined) {
        event.preventDefault();
        goTo(stage.name);
      }
    };
    addEventListener("keydown", onKeyDown);
    return () => removeEventListener("keydown", onKeyDown);
  }, [stages, goTo]);
}
