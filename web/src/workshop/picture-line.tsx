import type { ReactNode } from "react";
import { useCoarsePointer } from "../browser/use-coarse-pointer";
import { useDocument } from "../case/case-context";
import { useView } from "../case/view-context";
import { stageView, withMeasuring } from "../case/view-settings";
import { useUnits } from "../units/units-context";
import { named } from "../words/words";
import { ByHand, ByKeys } from "./cross-hair";
import { Hint } from "./hint";
import { MeasuredHint, type Taken } from "./measuring";
import { type HeldLandmark, heldWords } from "./use-held-landmark";

interface PictureLineProps {
  readonly stage: string;
  /** From where the picture looks, in words. */
  readonly seen: string;
  readonly held: HeldLandmark | null;
  readonly measured: Taken;
  /** The cross-hair points beside the limb. */
  readonly missed: boolean;
  readonly painted: boolean;
  /** Why the revision to hold pressures against cannot be shown, if so. */
  readonly problem: string | null;
  /** A foot that is tried, and whether the load finds an equilibrium with it. */
  readonly tried: { readonly held: boolean } | null;
}

/**
 * The line above the picture: what the next touch does, or else from where it looks. Its height is
 * kept free, so that nothing said here covers the limb or moves it.
 */
export function PictureLine(props: PictureLineProps) {
  return (
    <div className="picture-line">
      <p className="seen">{props.seen}</p>
      <CurrentHint {...props} />
      <PictureTools />
    </div>
  );
}

function CurrentHint(props: PictureLineProps) {
  const { settings } = useView();
  const { text } = useUnits();
  const { colouring, layers } = stageView(settings, props.stage);
  const { held, missed, painted, problem } = props;
  if (held !== null) {
    return <Hint passing>{heldWords(held, (value) => text(value, "mm", 1))}</Hint>;
  }
  if (settings.picking !== null) {
    return (
      <TouchHint missed={missed}>
        Touch the limb at the place of: <strong>{named(settings.picking)}</strong>.
      </TouchHint>
    );
  }
  if (settings.complaint !== null) {
    return <TouchHint missed={missed}>Touch the limb where it is felt.</TouchHint>;
  }
  if (settings.measured !== null) {
    return <MeasuredHint taken={props.measured} skinShown={layers.has("skin")} missed={missed} />;
  }
  if (props.tried !== null) {
    return (
      <Hint>
        {props.tried.held
          ? "Pressure with the foot as tried; nothing is turned yet."
          : "With the foot as tried, this load finds no equilibrium."}
      </Hint>
    );
  }
  if (colouring === "change" && !painted) {
    return <Hint>{changeWords(settings.against, problem)}</Hint>;
  }
  return colouring === "thickness" && !(painted && layers.has("made")) ? (
    <WallHint painted={painted} />
  ) : null;
}

/** A touch that is asked for, how it is aimed, and how it is given up. */
function TouchHint({ children, missed }: { children: ReactNode; missed: boolean }) {
  const { setSettings } = useView();
  const giveUp = (): void => setSettings((now) => ({ ...now, picking: null, complaint: null }));
  return (
    <Hint
      end={
        <button type="button" onClick={giveUp}>
          Give up
        </button>
      }
    >
      {children} <ByKeys missed={missed} />
      <ByHand /> <span className="by-board">Escape gives up.</span>
    </Hint>
  );
}

/** Why no wall is coloured: as planned it has one thickness; other ones are there once made. */
function WallHint({ painted }: { painted: boolean }) {
  const planned = useDocument().prove.wall_mm;
  const { text } = useUnits();
  const all = planned === null ? "" : `, ${text(planned, "mm", 1)}`;
  return (
    <Hint>
      {painted
        ? "Tick “Socket as made” to see its wall."
        : `The wall is planned the same everywhere${all}. Make the parts to see it as made.`}
    </Hint>
  );
}

function changeWords(against: number | null, problem: string | null): string {
  if (problem !== null) {
    return problem;
  }
  return against === null
    ? "Choose the revision to hold it against."
    : `Computing revision ${against.toString()} …`;
}

/** What is done with the picture itself. */
function PictureTools() {
  const { settings, setSettings } = useView();
  const coarse = useCoarsePointer();
  const padShown = settings.pad ?? coarse;
  return (
    <div className="picture-tools">
      <button
        type="button"
        aria-pressed={settings.measured !== null}
        onClick={() => setSettings(withMeasuring)}
      >
        Measure
      </button>
      <button
        type="button"
        aria-pressed={padShown}
        title="Buttons that move what is selected in the picture by steps"
        onClick={() => setSettings((now) => ({ ...now, pad: !padShown }))}
      >
        Step pad
      </button>
    </div>
  );
}
