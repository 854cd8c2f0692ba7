import "./make.css";
import type { Made } from "../../api/results";
import { useCaseState, useSection, useStage } from "../../case/case-context";
import { Block } from "../../components/block";
import { Fact, Facts } from "../../components/fact";
import { NumberField } from "../../components/number-field";
import { StageResults } from "../../components/stage-results";
import { mm } from "../../units/quantities";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { MadeFiles } from "./made-files";
import { useMakingHere } from "./making-context";
import { OpenPoints } from "./open-points";
import { OutputsForm } from "./outputs-form";
import type { Making } from "./use-making";

/** Everything for the bench: what is written, what is open before that, and what was made. */
export function MakePanel() {
  const { stored } = useCaseState();
  const { making, start } = useMakingHere();
  const [{ outputs }] = useSection("make");
  const seen = useStage("make");
  return (
    <>
      <OutputsForm />
      <Block title="Make the files">
        <OpenPoints />
        <button
          type="button"
          className="main-button"
          disabled={making.kind === "running" || outputs.length === 0}
          onClick={start}
        >
          Make the files
        </button>
        {outputs.length === 0 ? <p className="remark">Choose at least one output.</p> : null}
        <Progress making={making} standing={stored?.revision ?? null} />
      </Block>
      {seen.kind === "ready" || seen.kind === "stale" ? (
        <StageResults state={seen}>{(made) => <MadeFacts made={made} />}</StageResults>
      ) : null}
      <MakeForm />
    </>
  );
}

/** The parts as they were made; the picture shows them. */
function MadeFacts({ made }: { made: Made }) {
  const { text } = useUnits();
  return (
    <Block title="The part as made">
      <Facts>
        <Fact name="Wall, measured on it">
          {text(made.wall_p02_mm, "mm", 2)} to {text(made.wall_p98_mm, "mm", 2)}
        </Fact>
        <Fact name="Material">{text(made.material_volume_ml, "ml", 0)}</Fact>
        <Fact name="Positive model">{text(made.positive.volume_ml, "ml", 0)}</Fact>
      </Facts>
      <p className="remark">
        The picture shows the socket as made, with its seat, its holes and the letter of its side;
        “Positive as made” stands among what it can show.
      </p>
    </Block>
  );
}

function Progress({ making, standing }: { making: Making; standing: number | null }) {
  switch (making.kind) {
    case "idle":
      return null;
    case "running":
      return (
        <div className="progress" role="status">
          <progress value={making.progress} max={1} aria-label="Progress of making" />
          <span>{named(making.text)}</span>
        </div>
      );
    case "failed":
      return (
        <div className="refusal" role="alert">
          <p className="refusal-head">Nothing was made.</p>
          <p>{making.sentence}</p>
        </div>
      );
    case "done":
      return (
        <div role="status">
          <p className="remark">
            {making.text}
            {making.revision === standing ? "" : ": the case has changed since"}
          </p>
          <MadeFiles files={making.files} />
        </div>
      );
  }
}

function MakeForm() {
  const [make, change] = useSection("make");
  return (
    <Block title="How it is made">
      <div className="form">
        <NumberField
          label="Fineness of the shell"
          value={make.field_spacing_mm}
          unit="mm"
          digits={2}
          step={0.05}
          path="make.field_spacing_mm"
          onChange={(spacing) => change({ field_spacing_mm: mm(spacing) })}
        />
      </div>
      <label className="tick">
        <input
          type="checkbox"
          checked={make.mark_side}
          onChange={(event) => change({ mark_side: event.target.checked })}
        />
        Mark the side on the parts
      </label>
    </Block>
  );
}
