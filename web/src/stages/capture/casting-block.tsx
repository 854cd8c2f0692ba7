import { useState } from "react";
import type { CastingPlan } from "../../api/document";
import { sentenceOf } from "../../api/errors";
import type { Casting, Limb } from "../../api/results";
import { useCaseState, useSection } from "../../case/case-context";
import { useService } from "../../case/service-context";
import { YesNoField } from "../../components/asked-fields";
import { Block } from "../../components/block";
import { Fact, Facts } from "../../components/fact";
import { handOver } from "../../components/hand-over";
import { NumberField } from "../../components/number-field";
import { Said } from "../../components/said";
import { mm } from "../../units/quantities";
import { useUnits } from "../../units/units-context";
import { levelWords, named } from "../../words/words";
import { rollWords } from "./roll-words";

/** How the cast is taken and filled, and the sheet to lie beside the bowl. */
export function CastingBlock({ limb }: { limb: Limb }) {
  return (
    <Block title="Casting">
      <CastingForm />
      {limb.casting === null ? (
        <p className="quiet">No casting plan is computed.</p>
      ) : (
        <>
          <CastingFacts casting={limb.casting} />
          <SheetButton />
        </>
      )}
    </Block>
  );
}

const LENGTHS = [
  { name: "tape_width_mm", label: "Width of the tape", digits: 0 },
  { name: "tape_length_mm", label: "Length of a roll", digits: 0 },
  { name: "above_trim_mm", label: "Wrap above the trim line", digits: 0 },
  { name: "film_mm", label: "Thickness of the film", digits: 2 },
] as const;

const PERCENTS = [
  { name: "waste_percent", label: "Waste of tape" },
  { name: "plaster_water_percent", label: "Water to plaster" },
] as const;

const TICKS = [
  { name: "film", label: "Film over a fabric-faced liner" },
  { name: "dummy_in_place", label: "Fill with the dummy in place" },
  {
    name: "hot_water_confirmed",
    label: "Water this warm is meant (heat on the skin was considered)",
  },
] as const;

function CastingForm() {
  const [capture, change] = useSection("capture");
  const { casting } = capture;
  const set = (part: Partial<CastingPlan>): void => change({ casting: { ...casting, ...part } });
  const path = (name: string): string => `capture.casting.${name}`;
  return (
    <details className="more">
      <summary>How it is to be cast</summary>
      <div className="form">
        <YesNoField
          label="Will be walked in"
          value={casting.walked_in}
          path={path("walked_in")}
          onChange={(walked_in) => set({ walked_in })}
        />
        <NumberField
          label="Layers"
          value={casting.layers}
          unit=""
          digits={0}
          fallback="by mass and use"
          path={path("layers")}
          onChange={(layers) => set({ layers })}
          onDefault={() => set({ layers: null })}
        />
        <NumberField
          label="Water"
          value={casting.water_c}
          unit="°C"
          digits={0}
          path={path("water_c")}
          onChange={(water_c) => set({ water_c })}
        />
        {LENGTHS.map(({ name, label, digits }) => (
          <NumberField
            key={name}
            label={label}
            value={casting[name]}
            unit="mm"
            digits={digits}
            path={path(name)}
            onChange={(value) => set({ [name]: mm(value) })}
          />
        ))}
        {PERCENTS.map(({ name, label }) => (
          <NumberField
            key={name}
            label={label}
            value={casting[name]}
            unit="%"
            digits={0}
            path={path(name)}
            onChange={(value) => set({ [name]: value })}
          />
        ))}
      </div>
      {TICKS.map(({ name, label }) => (
        <label className="tick" key={name}>
          <input
            type="checkbox"
            checked={casting[name]}
            onChange={(event) => set({ [name]: event.target.checked })}
          />
          {label}
        </label>
      ))}
    </details>
  );
}

function CastingFacts({ casting }: { casting: Casting }) {
  const { text, number, said } = useUnits();
  const { dummy, wrap, filling } = casting;
  const level = (value: number): string => levelWords(value, (at, unit) => text(at, unit, 0));
  return (
    <>
      <Facts>
        {dummy === null ? null : (
          <>
            <Fact name="Coupling dummy">
              {text(dummy.body_mm, "mm", 1)} wide, {text(dummy.height_mm, "mm", 1)} high
            </Fact>
            <Fact name="Sealing ring">
              {number(dummy.ring_inside_mm, "mm", 1)} to {text(dummy.ring_outside_mm, "mm", 1)},{" "}
              {text(dummy.ring_height_mm, "mm", 1)} high
            </Fact>
            <Fact name="Exit dummy">
              <Said text={dummy.exit_words} />
            </Fact>
          </>
        )}
        <Fact name="Film">
          {casting.film ? `yes, adds ${text(casting.film_girth_mm, "mm")} of girth` : "none"}
        </Fact>
        <Fact name="Wrapped area">{text(wrap.area_cm2, "cm2", 0)}</Fact>
        <Fact name={said(`Layers: ${wrap.layers_from}`)}>{wrap.layers.toString()}</Fact>
        <Fact name="Rolls to open, of one of these widths, waste included">
          {rollWords(wrap.rolls, (width) => text(width, "mm", 0))}
        </Fact>
      </Facts>
      <Listed
        title="Clock"
        lines={casting.events.map(
          (event) =>
            `${event.at_min.toFixed(0)} to ${event.until_min.toFixed(0)} min: ${event.text}`,
        )}
      />
      <Listed
        title="Where to press, where not"
        lines={casting.hands.map(
          (hand) =>
            `${hand.press ? "Press" : "Keep off"}: ${named(hand.name)}, ${level(hand.level_mm)}`,
        )}
      />
      <Listed
        title="Marks to draw"
        lines={casting.marks.map(
          (mark) => `${named(mark.name)}, ${level(mark.level_mm)}, ${mark.side_words}`,
        )}
      />
      <h4>Filling</h4>
      <Facts>
        <Fact name="Volume">{text(filling.volume_ml, "ml")}</Fact>
        <Fact name="Plaster and water">
          {text(filling.powder_kg, "kg", 2)} and {text(filling.water_kg, "kg", 2)}
        </Fact>
        <Fact name="Model grows on setting by">{text(filling.growth_mm, "mm", 2)}</Fact>
      </Facts>
      <Listed title="In this order" lines={filling.order} ordered />
    </>
  );
}

function Listed({
  title,
  lines,
  ordered = false,
}: {
  title: string;
  lines: readonly string[];
  ordered?: boolean;
}) {
  const List = ordered ? "ol" : "ul";
  return lines.length === 0 ? null : (
    <details className="more" open={ordered}>
      <summary>{title}</summary>
      <List className={ordered ? "ordered" : undefined}>
        {lines.map((line) => (
          <li key={line}>
            <Said text={line} />
          </li>
        ))}
      </List>
    </details>
  );
}

function SheetButton() {
  const service = useService();
  const { id } = useCaseState();
  const [state, setState] = useState<"idle" | "running" | string>("idle");
  const fetchSheet = (): void => {
    setState("running");
    service
      .castingSheet(id)
      .then((blob) => {
        handOver(blob, "casting_sheet.pdf");
        setState("idle");
      })
      .catch((error: unknown) => setState(sentenceOf(error)));
  };
  return (
    <>
      <button type="button" disabled={state === "running"} onClick={fetchSheet}>
        {state === "running" ? "Writing the sheet …" : "Download the casting sheet (PDF)"}
      </button>
      {state === "idle" || state === "running" ? null : <p className="problem">{state}</p>}
    </>
  );
}
