import { type ReactNode, useState } from "react";
import type { Observation } from "../api/document";
import type { DeviationAnswer } from "../api/results";
import { useSection } from "../case/case-context";
import { Block } from "../components/block";
import { SelectField } from "../components/choice-field";
import { Said } from "../components/said";
import { type Removing, useListFocus } from "../components/use-list-focus";
import { named } from "../words/words";
import { useResults } from "./use-viewer";

/** What may be seen of a walk, by the phase in which it is looked for. */
const SEEN: Readonly<Record<string, readonly string[]>> = {
  loading: [
    "knee_flexes_too_fast",
    "knee_stays_straight",
    "foot_slaps",
    "forefoot_turns_out_at_contact",
  ],
  mid_stance: [
    "knee_thrusts_outward",
    "knee_thrusts_inward",
    "pylon_leans_inward",
    "pylon_leans_outward",
    "trunk_leans_to_the_prosthetic_side",
  ],
  late_stance: ["drops_off_the_toe", "heel_rises_late"],
  swing: ["socket_pistons", "toe_drags", "foot_whips"],
  whole_stride: ["vaults", "swings_around"],
};

const CHOICES = Object.entries(SEEN).flatMap(([phase, seen]) =>
  seen.map((what) => ({ phase, what })),
);

/** What was seen while the person walked, and what this leg says to it. */
export function Observations() {
  const [{ observed }, change] = useSection("align");
  const { heading, removing } = useListFocus(observed.length);
  return (
    <Block title="Seen of the walk" heading={heading}>
      <ObservationList
        observed={observed}
        removing={removing}
        answers={useResults("align")?.guide ?? []}
        path="align.observed"
        onChange={(next) => change({ observed: next })}
      />
    </Block>
  );
}

interface ObservationListProps {
  readonly observed: readonly Observation[];
  readonly answers: readonly DeviationAnswer[];
  readonly path: string;
  readonly onChange: (observed: readonly Observation[]) => void;
  readonly removing: Removing;
  /** What stands after the answer to one of them. */
  readonly after?: (what: string) => ReactNode;
}

/** Deviations that were seen, each with its answer, and the list to choose another from. */
export function ObservationList(props: ObservationListProps) {
  const { observed, answers, removing, onChange: put } = props;
  const [chosen, setChosen] = useState(CHOICES[0]?.what ?? "");
  const entry = CHOICES.find(({ what }) => what === chosen);
  const known = observed.some(({ what }) => what === chosen);
  return (
    <>
      {observed.map((one, index) => (
        <div className="observed" key={`${one.phase} ${one.what}`}>
          <p>
            <b>{named(one.what)}</b>, {named(one.phase).toLowerCase()}{" "}
            <button
              type="button"
              aria-label={`Remove: ${named(one.what)}`}
              onClick={() => removing(() => put(observed.filter((_, i) => i !== index)))}
            >
              Remove
            </button>
          </p>
          <Answer answer={answers.find(({ what }) => what === one.what)} />
          {props.after?.(one.what)}
        </div>
      ))}
      <div className="form">
        <SelectField
          label="What was seen"
          wide
          value={chosen}
          options={CHOICES.map(({ phase, what }) => ({
            value: what,
            label: `${named(phase)}: ${named(what).toLowerCase()}`,
          }))}
          path={props.path}
          onChange={setChosen}
        />
        <button
          type="button"
          disabled={known || entry === undefined}
          onClick={() => entry !== undefined && put([...observed, entry])}
        >
          Add
        </button>
      </div>
    </>
  );
}

function Answer({ answer }: { answer: DeviationAnswer | undefined }) {
  if (answer === undefined) {
    return null;
  }
  return (
    <>
      <dl className="explained">
        {answer.causes.map(({ cause, says, verdict }) => (
          <div key={cause}>
            <dt>
              <Said text={cause} />: {verdict}
            </dt>
            <dd>
              <Said text={says} />
            </dd>
          </div>
        ))}
      </dl>
      {answer.contradictions.map((text) => (
        <p className="problem" key={text}>
          <Said text={text} />
        </p>
      ))}
      {answer.remarks.map((text) => (
        <p className="remark" key={text}>
          <Said text={text} />
        </p>
      ))}
      <p className="remark">
        First: <Said text={`${answer.first_change}. ${answer.adjustment?.text ?? ""}`} />
      </p>
      {answer.adjustment === null ? null : (
        <p className="remark">
          <Said text={answer.predicted} />
        </p>
      )}
    </>
  );
}
