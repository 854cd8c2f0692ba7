import { type PointerEvent, useEffect, useMemo, useState } from "react";
import type { Side } from "../api/document";
import { sentenceOf } from "../api/errors";
import type { CaseSection, SectionReading } from "../api/replies";
import type { Limb } from "../api/results";
import { useCaseState } from "../case/case-context";
import { useService } from "../case/service-context";
import { SliderField } from "../components/slider-field";
import { NewestOnly } from "../state/newest-only";
import { useUnits } from "../units/units-context";
import { capitalised, named } from "../words/words";
import { aroundWords } from "./around-level";
import { AroundPlot } from "./around-plot";

interface SectionState {
  readonly cut: CaseSection | null;
  readonly problem: string | null;
}

const NONE = { cut: null, problem: null, of: null };
/** Stages that a cross-section and the plots beside it are read from; the wall is what is proved. */
const READ_FROM = ["capture", "shape", "prove"] as const;

/** The cross-section at a level, of the case as last evaluated; the last level asked for wins. */
export function useCaseSection(
  levelMm: number | null,
): SectionState & { /** Of an earlier state of the case. */ readonly old: boolean } {
  const service = useService();
  const { id, evaluated, uncovered } = useCaseState();
  const [{ of, ...state }, setState] = useState<SectionState & { of: number | null }>(NONE);
  const newest = useMemo(() => {
    const made: NewestOnly = new NewestOnly(async (key) => {
      const [level, asked] = JSON.parse(key) as [number, number];
      const next = await service
        .section(id, level)
        .then((cut): SectionState => ({ cut, problem: null }))
        .catch((error: unknown): SectionState => ({ cut: null, problem: sentenceOf(error) }));
      // While the level is dragged every answer is shown; once it is closed, none.
      setState(made.now === null ? NONE : { ...next, of: asked });
    });
    return made;
  }, [service, id]);
  useEffect(() => () => newest.drop(), [newest]);
  const revision = evaluated?.revision ?? null;
  useEffect(() => {
    if (levelMm === null || revision === null) {
      newest.drop();
      setState(NONE);
      return;
    }
    void newest.want(JSON.stringify([levelMm, revision]));
  }, [levelMm, revision, newest]);
  const edited = uncovered.some(({ stale }) => READ_FROM.some((stage) => stale.has(stage)));
  return { ...state, old: state.cut !== null && (edited || of !== revision) };
}

interface SectionPanelProps extends SectionState {
  readonly levelMm: number;
  /** Whether the cut is of an earlier state of the case: dimmed until it is cut anew. */
  readonly old: boolean;
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
export function SectionPanel(props: SectionPanelProps) {
  const { levelMm, cut, problem, old, limb, side, onLevel } = props;
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
        <div className={old ? "section-cut stale" : "section-cut"} aria-busy={old}>
          <SectionDrawing cut={cut} side={side} />
          <Readings readings={cut.readings} />
          <AroundPlot levelMm={levelMm} />
        </div>
      )}
    </section>
  );
}

const MARGIN_MM = 14;
/** Room for the word on the lateral side. */
const ASIDE_MM = 34;
/** Neighbouring points of an outline stand closer than this. */
const CLOSED_MM = 5;

function SectionDrawing({ cut, side }: { cut: CaseSection; side: Side }) {
  const [at, setAt] = useState<number | null>(null);
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
  const outward = side === "right" ? 1 : -1;
  const read = at === null ? null : (cut.around[at] ?? null);
  const [middleX, middleY] = [cut.middle_mm[0] - left, front - cut.middle_mm[1]];
  const point = (event: PointerEvent<HTMLElement>): void => {
    const box = event.currentTarget.getBoundingClientRect();
    // The drawing keeps its shape inside its box: equal room is left on both sides.
    const scale = Math.min(box.width / width, box.height / height);
    const x = (event.clientX - box.left - box.width / 2) / scale + width / 2 - middleX;
    const y = (event.clientY - box.top - box.height / 2) / scale + height / 2 - middleY;
    setAt(nearestWay(cut.around.length, x * outward, -y));
  };
  return (
    <>
      <div
        className="section-ways"
        role="slider"
        tabIndex={0}
        aria-label={`Cross-section seen from above: anterior at the top, lateral on the ${outer}. Way that is read`}
        aria-valuemin={0}
        aria-valuemax={360}
        aria-valuenow={read?.angle_deg ?? 0}
        aria-valuetext={read === null ? "none" : aroundWords(read.angle_deg)}
        onPointerDown={point}
        onPointerMove={(event) => {
          if (event.pointerType === "mouse" || event.buttons > 0) {
            point(event);
          }
        }}
        onKeyDown={(event) => {
          const way = TURNS[event.key];
          if (way !== undefined) {
            event.preventDefault();
            const count = cut.around.length;
            setAt(((at ?? -way) + way + count) % count);
          }
        }}
      >
        <svg
          className="section-drawing"
          viewBox={`0 0 ${width.toFixed(1)} ${height.toFixed(1)}`}
          aria-hidden="true"
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
            anterior
          </text>
          <text
            x={outer === "right" ? width - 1 : 1}
            y={height / 2}
            textAnchor={outer === "right" ? "end" : "start"}
          >
            lateral
          </text>
          {read === null ? null : (
            <line className="cut-way" x1={middleX} y1={middleY} {...wayEnd(read.angle_deg)} />
          )}
        </svg>
      </div>
      <WayRead read={read} />
    </>
  );

  function wayEnd(angleDeg: number): { x2: number; y2: number } {
    const angle = (angleDeg * Math.PI) / 180;
    const reach = Math.hypot(width, height);
    return {
      x2: middleX + outward * Math.cos(angle) * reach,
      y2: middleY - Math.sin(angle) * reach,
    };
  }
}

/** Keys that turn the way that is read, and by how many places. */
const TURNS: Readonly<Record<string, number>> = {
  ArrowLeft: -1,
  ArrowDown: -1,
  ArrowRight: 1,
  ArrowUp: 1,
};

/** The place, of so many around from outward to front, that a point seen from the middle is nearest to. */
export function nearestWay(count: number, outMm: number, frontMm: number): number {
  const turn = Math.atan2(frontMm, outMm) / (2 * Math.PI);
  return (Math.round(turn * count) + count) % count;
}

function WayRead({ read }: { read: SectionReading | null }) {
  const { text } = useUnits();
  const write = (value: number | null): string => (value === null ? "–" : text(value, "mm", 1));
  return (
    <p className="way-read" role="status">
      {read === null
        ? "Touch the drawing to read it there."
        : `${capitalised(aroundWords(read.angle_deg))}: space ${write(read.space_mm)}, wall ${write(read.wall_mm)}, cover ${write(read.cover_mm)}.`}
    </p>
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

function Readings({ readings }: Pick<CaseSection, "readings">) {
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
        {Object.entries(readings).map(([direction, one]) => (
          <tr key={direction}>
            <th scope="row">{named(direction)}</th>
            <td className="number">{write(one.space_mm)}</td>
            <td className="number">{write(one.wall_mm)}</td>
            <td className="number">{write(one.cover_mm)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
