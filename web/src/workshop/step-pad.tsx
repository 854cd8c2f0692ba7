import { type RefObject, useEffect, useRef, useState } from "react";
import { useCaseState, useSession } from "../case/case-context";
import { useView } from "../case/view-context";
import { withSelected } from "../case/view-settings";
import { useUnits } from "../units/units-context";
import { boxesOf, KEEPS_CLEAR } from "../viewer/boxes";
import type { LimbViewer } from "../viewer/limb-viewer";
import { type Adjuster, type Handling, stepsIn } from "./handling";
import { CORNERS, freeCorner, padBox } from "./pad-corner";
import { RepeatButton } from "./repeat-button";
import type { Placing } from "./use-placing";

interface StepPadProps {
  readonly viewer: LimbViewer | null;
  readonly handling: Handling;
  readonly placing: Placing;
}

/** What the keys with Shift do, for a finger: moves what is selected in the picture by steps. */
export function StepPad({ viewer, handling, placing }: StepPadProps) {
  const units = useUnits();
  const steps = stepsIn(units);
  const [far, setFar] = useState<0 | 1>(0);
  const step = steps.move[far];
  const pad = useRef<HTMLElement>(null);
  useCorner(pad, viewer, handling.marker);
  const { title, place, aside, move } = handling;
  const adjusters = [handling.length, handling.width, handling.depth].filter((one) => one !== null);
  const size = (index: 0 | 1): string => units.text(steps.move[index], "mm", 0);
  const name = (way: string): string => `Move ${way} by ${size(far)}`;
  return (
    <section ref={pad} className="step-pad" data-keeps-clear="" aria-label={`Step pad: ${title}`}>
      <header>
        <p className="step-pad-title">
          <strong>{title}</strong>
          {adjusters.length === 0 ? null : <Place words={place} />}
        </p>
        <PadSteps placing={placing} section={handling.marker === null} />
      </header>
      <div className="step-pad-body">
        <div className="step-arrows">
          <RepeatButton name={name("up")} onStep={() => move(0, step)}>
            ↑
          </RepeatButton>
          {aside ? (
            <RepeatButton name={name("to the left")} onStep={() => move(-step, 0)}>
              ←
            </RepeatButton>
          ) : null}
          <button
            type="button"
            className="step-size"
            aria-label={`Step ${size(far)}; take ${size(far === 0 ? 1 : 0)}`}
            onClick={() => setFar(far === 0 ? 1 : 0)}
          >
            {size(far)}
          </button>
          {aside ? (
            <RepeatButton name={name("to the right")} onStep={() => move(step, 0)}>
              →
            </RepeatButton>
          ) : null}
          <RepeatButton name={name("down")} onStep={() => move(0, -step)}>
            ↓
          </RepeatButton>
        </div>
        {adjusters.length === 0 ? (
          <Place words={place} />
        ) : (
          <div className="step-adjusters">
            {adjusters.map((one) => (
              <AdjusterRow key={one.name} adjuster={one} />
            ))}
          </div>
        )}
      </div>
    </section>
  );
}

/** Where the thing is now; said aloud after each step. */
function Place({ words }: { words: readonly string[] }) {
  return (
    <span className="step-pad-place" aria-live="polite">
      {words.map((one, i) => (
        <span key={one}>{i === words.length - 1 ? one : `${one}, `}</span>
      ))}
    </span>
  );
}

/** Undo, and letting go of what is selected. */
function PadSteps({ placing, section }: { placing: Placing; section: boolean }) {
  const session = useSession();
  const { past } = useCaseState().history;
  const { setSettings } = useView();
  return (
    <>
      <button
        type="button"
        disabled={past.length === 0 && !placing.holdsSteps}
        onClick={() => {
          if (!placing.giveUp()) {
            session.step("back");
          }
        }}
      >
        Undo
      </button>
      <button
        type="button"
        onClick={() =>
          setSettings((now) => (section ? { ...now, sectionMm: null } : withSelected(now, {})))
        }
      >
        Done
      </button>
    </>
  );
}

function AdjusterRow({ adjuster }: { adjuster: Adjuster }) {
  const { name, value, less, more, by } = adjuster;
  return (
    <fieldset className="step-adjuster">
      <legend className="unseen">{name}</legend>
      <RepeatButton name={less} onStep={() => by(-1)}>
        −
      </RepeatButton>
      <p>
        <span>{name}</span>
        <output>{value}</output>
      </p>
      <RepeatButton name={more} onStep={() => by(1)}>
        +
      </RepeatButton>
    </fieldset>
  );
}

/** Keeps the pad in a corner of the picture where it covers neither what it moves nor what is said. */
function useCorner(
  pad: RefObject<HTMLElement | null>,
  viewer: LimbViewer | null,
  marker: string | null,
): void {
  useEffect(() => {
    const place = (): void => {
      const element = pad.current;
      const picture = element?.offsetParent;
      // It stays under a finger that holds one of its buttons.
      if (!element || !picture || element.querySelector(":active") !== null) {
        return;
      }
      const spot = marker === null ? null : (viewer?.markerSpot(marker) ?? null);
      const at = CORNERS.find((one) => one === element.dataset.corner) ?? CORNERS[0];
      const { left, top, width, height, bottom } = picture.getBoundingClientRect();
      const frame = { left, top, width, height, below: innerHeight - bottom };
      const taken = boxesOf(picture, `[${KEEPS_CLEAR}]:not(.step-pad)`, picture);
      const corner = freeCorner(element, frame, spot, at, taken);
      const box = padBox(corner, element, frame);
      const there = `translate(${box.left.toFixed(0)}px, ${box.top.toFixed(0)}px)`;
      if (there !== element.style.transform) {
        element.dataset.corner = corner;
        element.style.transform = there;
        viewer?.arrange();
      }
    };
    place();
    addEventListener("pointerup", place);
    const forget = viewer?.onDrawn(place);
    return () => {
      removeEventListener("pointerup", place);
      forget?.();
    };
  });
}
