/** The guided first case: the whole job in steps, each with one act that the page can recognise. */

import type { StageName } from "../api/results";
import type { Entry } from "../case/entry";
import { INITIAL_VIEW, stageView } from "../case/view-settings";
import type { Units } from "../units/units-context";
import { changedArea, differs, type GuideFacts } from "./facts";
import * as told from "./told";

export interface GuideStep {
  readonly id: string;
  readonly stage: StageName;
  readonly title: string;
  /** What the question is. */
  readonly words: string;
  /** The one thing to do, with amounts in the units that are shown. */
  readonly act: (units: Text) => string;
  /** Where it is done; of several, the first that is there. */
  readonly entries: readonly Entry[];
  readonly done: (facts: GuideFacts) => boolean;
  /** What the evaluation says to it, in a sentence; null while it says nothing. */
  readonly told: (facts: GuideFacts, units: Text) => string | null;
}

type Text = Pick<Units, "text" | "said">;

const field = (words: string): Entry => ({ kind: "field", words });
const button = (words: string): Entry => ({ kind: "button", words });

const ASSESS_AND_CAPTURE: readonly GuideStep[] = [
  {
    id: "walk",
    stage: "assess",
    title: "Which loads follow?",
    words:
      "Everything later is held against loads that follow from mass, class and walking speed. Until a walk is timed, the speed is a default of the class and says so.",
    act: ({ text }) => `Enter ${text(0.8, "m/s")} as “Walking speed”, as if you had timed a walk.`,
    entries: [field("Walking speed")],
    done: ({ begun, now }) => begun.person.walking_speed_m_s !== now.person.walking_speed_m_s,
    told: told.loads,
  },
  {
    id: "landmark",
    stage: "capture",
    title: "Do the landmarks lie where they should?",
    words:
      "Landmarks give the limb its frame and the areas their places. A guess is a proposal of the program: on a person you palpate before you accept it.",
    act: () => "Choose “Accept” beside one that is a guess, or “Place” and touch the limb.",
    entries: [button("Accept"), button("Place")],
    done: ({ begun, now }) => differs(begun.capture.landmarks, now.capture.landmarks),
    told: told.guesses,
  },
  {
    id: "bone",
    stage: "capture",
    title: "How deep does bone lie?",
    words:
      "A scan sees skin alone, so the bones are an estimate. A depth that you felt or measured steadies it, most of all where a relief shall spare bone.",
    act: ({ text }) => `Enter ${text(5, "mm")} as “Depth of the bone there”.`,
    entries: [field("Depth of the bone there")],
    done: ({ begun, now }) => differs(begun.capture.palpated, now.capture.palpated),
    told: told.cover,
  },
];

const SHAPE: readonly GuideStep[] = [
  {
    id: "section",
    stage: "shape",
    title: "What lies under the place?",
    words:
      "A load area presses soft tissue against what lies under it. The cross-section shows skin, bones and the socket’s inside at one level; its slider moves up and down.",
    act: () => "Tick “Cross-section” beside the limb.",
    entries: [field("Cross-section")],
    done: ({ view }) => view.sectionMm !== null,
    told: told.level,
  },
  {
    id: "colour",
    stage: "shape",
    title: "What does each place carry?",
    words:
      "Depth says what you do to the socket, pressure says what it does to the limb. The legend names the load and how the pressure was computed.",
    act: () => "Choose “Pressure” under “Colour by”.",
    entries: [field("Colour by")],
    done: ({ view }) => stageView(view, "shape").colouring === "pressure",
    told: told.highest,
  },
  {
    id: "deepen",
    stage: "shape",
    title: "What if it bears more there?",
    words:
      "Every edit is evaluated at once: map, tables and findings change together. Press in more at a load area and watch its neighbours too.",
    act: () => "Move the slider “Patellar tendon” a little, or enter another depth.",
    entries: [field("Patellar tendon"), button("Add")],
    done: (facts) => changedArea(facts) !== null,
    told: told.area,
  },
  {
    id: "undo",
    stage: "shape",
    title: "Was that better?",
    words:
      "Trying costs nothing. Every change is a step that can be taken back, and every stored state of the case stays as a revision.",
    act: () => "Take the change back with “Undo” in the bar above.",
    entries: [button("Undo")],
    done: ({ history }) => history.future.length > 0,
    told: told.depths,
  },
];

const TO_PROVE: readonly GuideStep[] = [
  {
    id: "axis",
    stage: "couple",
    title: "Does the coupling sit true?",
    words:
      "Limb and leg rarely share an axis. What the coupling is spared the adapter has to turn, so each choice costs something, and the table says how much.",
    act: () => "Take another axis in the table “What each axis costs”.",
    entries: [button("Take "), field("Axis that it is set on")],
    done: ({ begun, now }) => begun.couple.coupling.axis !== now.couple.coupling.axis,
    told: told.seat,
  },
  {
    id: "foot",
    stage: "align",
    title: "What does moving the foot do?",
    words:
      "The foot’s place decides the moments on the limb. Ask for a move and the answer comes in screw turns, with moments and pressures before and after.",
    act: ({ text }) =>
      `Enter ${text(5, "mm")} as “Foot outward by”, or drag the foot in the front view.`,
    entries: [field("Foot outward by")],
    done: ({ begun, now }) =>
      begun.align.wanted_outward_mm !== now.align.wanted_outward_mm ||
      begun.align.wanted_forward_mm !== now.align.wanted_forward_mm,
    told: told.screws,
  },
  {
    id: "load",
    stage: "prove",
    title: "When is it worst?",
    words:
      "A place that is spared in standing may bear in late stance. Where nobody has established a limit the table says so, and that is no pass.",
    act: () => "Choose another load under “Under load”.",
    entries: [field("Under load")],
    done: ({ view }) => view.loadCase !== INITIAL_VIEW.loadCase,
    told: told.highest,
  },
  {
    id: "strength",
    stage: "prove",
    title: "Will it hold?",
    words:
      "Strength is compared with reference forces, the smallest margin first. It is a comparison and no test: what is met on defaults alone has still to be shown.",
    act: ({ text }) =>
      `Enter ${text(15, "mm")} as “Plate at the end”, or choose another way under “Made as”.`,
    entries: [field("Plate at the end")],
    done: ({ begun, now }) => differs(made(begun.prove), made(now.prove)),
    told: told.margin,
  },
];

const TO_FIT: readonly GuideStep[] = [
  {
    id: "make",
    stage: "make",
    title: "How is exactly this made?",
    words:
      "Socket, positive model, work order and a true-size template come from one revision and name it. Measure the template’s bar before you trust the print.",
    act: () => "Choose “Make the files”. It takes a while; the page goes on working.",
    entries: [button("Make the files")],
    done: ({ files }) => files !== null,
    told: told.files,
  },
  {
    id: "fitting",
    stage: "fit",
    title: "What did the person feel?",
    words:
      "A fitting holds comfort, plies, what was felt and what was changed by hand. It is logged against the revision that was worn.",
    act: () => "Choose “New fitting”, then the revision that was worn.",
    entries: [button("New fitting")],
    done: ({ begun, now }) => now.fit.fittings.length > begun.fit.fittings.length,
    told: told.fitting,
  },
  {
    id: "complaint",
    stage: "fit",
    title: "What may be behind it?",
    words:
      "Each complaint is held against the computed picture, cause by cause, with what to change first. The picture ranks places: ask, look and palpate before you act.",
    act: () => "Choose “Add a complaint”, then say what, when and where.",
    entries: [button("Add a complaint")],
    done: ({ begun, now }) => complaints(now.fit.fittings) > complaints(begun.fit.fittings),
    told: told.causes,
  },
];

export const STEPS: readonly GuideStep[] = Object.freeze([
  ...ASSESS_AND_CAPTURE,
  ...SHAPE,
  ...TO_PROVE,
  ...TO_FIT,
]);

/** The place after the last step. */
export const END = "end";

type Proving = GuideFacts["now"]["prove"];

function made({ process, material, wall_mm, distal_plate_mm, layers, layer_mm }: Proving): unknown {
  return [process, material, wall_mm, distal_plate_mm, layers, layer_mm];
}

function complaints(fittings: GuideFacts["now"]["fit"]["fittings"]): number {
  return fittings.reduce((sum, fitting) => sum + fitting.complaints.length, 0);
}
