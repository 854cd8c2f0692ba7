import { useEffect, useRef, useState } from "react";
import type { Side } from "../api/document";
import { sentenceOf } from "../api/errors";
import type { CaseSection, SectionReading } from "../api/replies";
import type { Limb } from "../api/results";
import { SliderField } from "../components/slider-field";
import { NewestOnly } from "../state/newest-only";
import { useUnits } from "../units/units-context";
import { named } from "../words/words";
import { AroundPlot } from "./around-plot";
import { useCaseState } from "./case-context";
import { useService } from "./service-context";

interface SectionState {
  readonly cut: CaseSection | null;
  readonly problem: string | null;
}

const NONE: SectionState = { cut: null, problem: null };

/** The cross-section at a level, of the case as last evaluated; the last level asked for wins. */
export function useCaseSection(levelMm: number | null): SectionState {
  const service = useService();
  const { id, evaluated } = useCaseState();
  const [state, setState] = useState(NONE);
  const { current: newest } = useRef(new NewestOnly());
  const revision = evaluated?.revision ?? null;
  useEffect(() => {
    if (levelMm === null || revision === null) {
      newest.drop();
      setState(NONE);
      return;
    }
    const ask = async (key: string): Promise<void> => {
      const next = await service
        .section(id, Number.parseFloat(key))
        .then((cut): SectionState => ({ cut, problem: null }))
        .catch((error: unknown): SectionState => ({ cut: null, problem: sentenceOf(error) }));
      // While the level is dragged every answer is shown; once it is closed, none.
      setState(newest.isDropped ? NONE : next);
    };
    void newest.want(`${levelMm} ${revision}`, ask);
  }, [service, id, levelMm, revision, newest]);
  return state;
}

interface SectionPanelProps extends SectionState {
  readonly levelMm: number;
  readonly limb: Limb | null;
  readonly side: Side;
  readonly onLevel: (levelMm: number) => void;
}

const STEP_MM = 2;
/** The highest level of a cross-section, below the mid-patellar tendon. */
export const SECTION_FROM_MM = -40;
/** From the inside out, as they are drawn. */
const DRAWN = ["outside", "inside", "liner", "skin", "tibia", "fibula"] as const;

/** The lowest level of a cross-section: just above the limb's end. */
export function lowestLevel(limb: Limb | null): number {
  return Math.floor(limb?.measures.length_below_datum_mm ?? 150) - 1;
}

/** A level as near to the one wanted as the limb allows. */
export function levelWithin(limb: Limb | null, wantedMm: number): number {
  return Math.max(SECTION_FROM_MM, Math.min(lowestLevel(limb), wantedMm));
}

/** Limb and socket cut at a level, seen from above, with space, wall and cover around. */
export function SectionPanel({ levelMm, cut, problem, limb, side, onLevel }: SectionPanelProps) {
  return (
    <section className="section-panel" aria-label="Cross-section">
      <SliderField
        label="Level below MPT"
        value={levelMm}
        resting={levelMm}
        range={[SECTION_FROM_MM, lowestLevel(limb)]}
        unit="mm"
        step={STEP_MM}
        onChange={onLevel}
      />
      {problem === null ? null : <p className="problem">{problem}</p>}
      {cut === null ? null : (
        <>
          <SectionDrawing cut={cut} side={side} />
          <Readings readings={cut.readings} />
          <AroundPlot levelMm={levelMm} />
        </>
      )}
    </section>
  );
}

const MARGIN_MM = 14;
/** Room for the word on the outer side. */
const ASIDE_MM = 28;
/** Neighbouring points of an outline stand closer than this. */
const CLOSED_MM = 5;

function SectionDrawing({ cut, side }: { cut: CaseSection; side: Side }) {
  const points = DRAWN.flatMap((name) => (cut.outlines[name] ?? []).flat());
  const xs = points.map(([x]) => x);
  const ys = points.map(([, y]) => y);
  const [left, right] = [Math.min(...xs) - ASIDE_MM, Math.max(...xs) + ASIDE_MM];
  const [back, front] = [Math.min(...ys) - MARGIN_MM, Math.max(...ys) + MARGIN_MM];
  // As one looks down on the person from above: front at the top, the person's right to the right.
  const path = (name: string): string =>
    (cut.outlines[name] ?? [])
      .map(
        (outline) =>
          `M${outline.map(([x, y]) => `${(x - left).toFixed(1)} ${(front - y).toFixed(1)}`).join("L")}${
            isClosed(outline) ? "Z" : ""
          }`,
      )
      .join("");
  const walls = [...(cut.outlines.outside ?? []), ...(cut.outlines.inside ?? [])];
  const outer = side === "right" ? "right" : "left";
  const width = right - left;
  const height = front - back;
  return (
    <svg
      className="section-drawing"
      viewBox={`0 0 ${width.toFixed(1)} ${height.toFixed(1)}`}
      role="img"
      aria-label={`Cross-section seen from above: front at the top, outer side on the ${outer}`}
    >
      <path
        className={walls.every(isClosed) ? "cut-wall" : "cut-open"}
        fillRule="evenodd"
        d={path("outside") + path("inside")}
      />
      <path className="cut-liner" fillRule="evenodd" d={path("liner") + path("skin")} />
      <path className="cut-skin" d={path("skin")} />
      <path className="cut-inside" d={path("inside")} />
      <path className="cut-bone" d={path("tibia") + path("fibula")} />
      <text x={width / 2} y={9} textAnchor="middle">
        front
      </text>
      <text
        x={outer === "right" ? width - 1 : 1}
        y={height / 2}
        textAnchor={outer === "right" ? "end" : "start"}
      >
        outer
      </text>
    </svg>
  );
}

/** The trim line may leave the level open: a gap is not drawn across. */
function isClosed(outline: readonly (readonly [number, number])[]): boolean {
  const [first, last] = [outline[0], outline[outline.length - 1]];
  return (
    first !== undefined &&
    last !== undefined &&
    Math.hypot(first[0] - last[0], first[1] - last[1]) < CLOSED_MM
  );
}

function Readings({ readings }: { readings: readonly SectionReading[] }) {
  const { number, sign } = useUnits();
  const write = (value: number | null): string => (value === null ? "–" : number(value, "mm", 1));
  return (
    <table className="table section-readings">
      <thead>
        <tr>
          <th scope="col">In {sign("mm")}</th>
          <th scope="col" className="number">
            Space
          </th>
          <th scope="col" className="number">
            Wall
          </th>
          <th scope="col" className="number">
            Cover
          </th>
        </tr>
      </thead>
      <tbody>
        {readings.map((one) => (
          <tr key={one.direction}>
            <th scope="row">{named(one.direction)}</th>
            <td className="number">{write(one.space_mm)}</td>
            <td className="number">{write(one.wall_mm)}</td>
            <td className="number">{write(one.cover_mm)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
