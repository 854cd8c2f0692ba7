import { useEffect, useRef, useState } from "react";
import type { Service } from "../api/client";
import type { LengthUnit, Person, Point, Side } from "../api/document";
import { ServiceRefused, sentenceOf } from "../api/errors";
import { keepAsking } from "../api/jobs";
import type { Info, Problem, ScanEntry } from "../api/replies";
import { ALL_CASES, caseAddress, goTo } from "../browser/route";
import { CautionList } from "../components/cautions";
import { Said } from "../components/said";
import { LandmarkPicture } from "../landmarks/landmark-picture";
import { SchemeSwitch } from "../scheme/scheme-switch";
import { grouped, MM_PER_INCH } from "../units/display";
import { placeWords } from "../words/places";
import { named } from "../words/words";
import { UnitSwitch } from "../workshop/unit-switch";
import { takeHeldScan } from "./held-scan";
import { dropEntry, keepEntry, keptEntry, NOTHING } from "./kept-entry";
import { PersonEntry } from "./person-entry";
import { SCAN_ENDINGS, useScanDrop } from "./scan-drop";
import { ScanPicture } from "./scan-picture";
import { useTakenScan } from "./use-taken-scan";

interface NewCaseProps {
  readonly service: Service;
  readonly info: Info;
  readonly firstStage: string;
}

interface Refusal {
  readonly sentence: string;
  readonly problems: readonly Problem[];
}

const ASK_MS = 700;
/** The landmarks that a frame needs, and those that sharpen it most, in the order of touching. */
const ASKED: readonly { readonly name: string; readonly needed: boolean; readonly how: string }[] =
  [
    {
      name: "mid_patellar_tendon",
      needed: true,
      how: "half way between the lower pole of the patella and the tibial tubercle",
    },
    { name: "fibular_head", needed: true, how: "the knob below the knee on the outer side" },
    { name: "limb_end", needed: false, how: "the lowest point of the limb" },
    { name: "tibial_tubercle", needed: false, how: "the bump where the patellar tendon ends" },
    { name: "crest_lower", needed: false, how: "on the sharp front edge of the shin, far down" },
    { name: "distal_tibia", needed: false, how: "the front edge of the tibia's cut end" },
    { name: "distal_fibula", needed: false, how: "the cut end of the fibula, on the outer side" },
    { name: "medial_tibial_flare", needed: false, how: "the broad slope below the knee, inside" },
  ];

/** A new case: the scan, a few landmarks touched on it, and the person. */
export function NewCase({ service, info, firstStage }: NewCaseProps) {
  const [beginning, setBeginning] = useState("");
  const [leftOut, setLeftOut] = useState("");
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const [kept, setKept] = useState(keptEntry);
  const [points, setPoints] = useState(kept?.points ?? NOTHING.points);
  const [picking, setPicking] = useState<string | null>(null);
  const [unit, setUnit] = useState(kept?.unit ?? NOTHING.unit);
  const [overLiner, setOverLiner] = useState(kept?.overLiner ?? NOTHING.overLiner);
  const [person, setPerson] = useState(kept?.person ?? NOTHING.person);
  const [title, setTitle] = useState(kept?.title ?? NOTHING.title);
  const file = useRef<HTMLInputElement>(null);

  const refuse = (error: unknown): void =>
    setRefusal({
      sentence: sentenceOf(error),
      problems: error instanceof ServiceRefused ? error.problems : [],
    });
  const { taken, reading, take: takeFile, takeUp, giveUp } = useTakenScan(service, refuse);
  const entry = taken?.entry ?? null;
  const busy = reading === "" ? beginning : `Reading ${reading} …`;
  const take = async (chosen: File, note = ""): Promise<void> => {
    setLeftOut(note);
    setRefusal(null);
    setPoints({});
    // What was stated of another file is not known of this one.
    setUnit(NOTHING.unit);
    if (await takeFile(chosen)) {
      setPicking(ASKED[0]?.name ?? null);
    }
  };
  // biome-ignore lint/correctness/useExhaustiveDependencies: a dropped file is taken once
  useEffect(() => {
    const dropped = takeHeldScan();
    if (dropped !== null) {
      void take(dropped.file, dropped.note);
    } else if (kept?.scan) {
      void takeUp(kept.scan).then((there) => {
        if (!there) {
          // Touched on a scan that has to be read anew: it need not stand as it stood.
          setPoints({});
        }
      });
    }
  }, []);
  useEffect(() => {
    if (reading === "") {
      keepEntry({ title, person, scan: entry, points, unit, overLiner });
    }
  }, [title, person, entry, points, unit, overLiner, reading]);
  const beginAnew = (): void => {
    giveUp();
    setKept(null);
    setRefusal(null);
    setPoints(NOTHING.points);
    setPicking(null);
    setUnit(NOTHING.unit);
    setOverLiner(NOTHING.overLiner);
    setPerson(NOTHING.person);
    setTitle(NOTHING.title);
  };

  const place = (name: string, at: Point): void => {
    const placed = { ...points, [name]: at };
    setPoints(placed);
    setPicking(ASKED.find((one) => placed[one.name] === undefined)?.name ?? null);
  };
  const missing = ASKED.filter((one) => one.needed && points[one.name] === undefined);
  const complete = isComplete(person);
  // A single problem is often the sentence itself.
  const listed = refusal?.problems.some(({ text }) => !refusal.sentence.includes(text)) ?? false;
  const begin = async (): Promise<void> => {
    if (entry === null || !complete) {
      return;
    }
    setBeginning("Taking the limb in …");
    setRefusal(null);
    const stopAsking = keepAsking(
      () => service.capturing(entry.scan).catch(() => null),
      (doing) => doing !== null && setBeginning(`Taking the limb in: ${doing.text} …`),
      ASK_MS,
    );
    try {
      const id = await service.beginCase({
        scan: entry.scan,
        title,
        person: person as Person,
        landmarks: { unit: "mm", points: inScan(points, entry, unit), guessed: [] },
        unit,
        scanned_over: overLiner ? "liner" : "skin",
      });
      dropEntry();
      goTo(caseAddress(id, firstStage === "assess" ? "capture" : firstStage));
    } catch (error) {
      refuse(error);
    }
    stopAsking();
    setBeginning("");
  };
  const drop = useScanDrop(({ file: dropped, note }) => void take(dropped, note));

  return (
    <div className={`new-case${drop.className}`} {...drop.handlers}>
      <header className="top-bar">
        <a className="wordmark" href={ALL_CASES}>
          Limbwright
        </a>
        <h1 className="whose">New case</h1>
        <UnitSwitch />
        <SchemeSwitch />
      </header>
      {refusal === null ? null : (
        <div className="banner" role="alert">
          <div className="banner-words">
            <p>
              <Said text={listed ? "This cannot be stored as it stands:" : refusal.sentence} />
            </p>
            {!listed ? null : (
              <ul>
                {refusal.problems.map((one) => (
                  <li key={`${one.path} ${one.text}`}>
                    {placeWords(one.path.replace(/^body\./, ""), null)}: <Said text={one.text} />
                  </li>
                ))}
              </ul>
            )}
          </div>
        </div>
      )}
      {kept === null ? null : (
        <div className="banner left-out" role="status">
          <p>Taken up as it was left in this tab.</p>
          <button type="button" onClick={beginAnew}>
            Clear all of it
          </button>
          <button type="button" onClick={() => setKept(null)}>
            Go on
          </button>
        </div>
      )}
      {leftOut === "" ? null : (
        <div className="banner left-out" role="status">
          <p>{leftOut}</p>
          <button type="button" onClick={() => setLeftOut("")}>
            Understood
          </button>
        </div>
      )}
      <main className="new-case-body">
        <section className="limb-view new-case-picture" aria-label="The scan">
          {taken === null ? (
            <div className="drop-place">
              <p>Drop the scan of the limb here: STL, PLY, OBJ, 3MF or GLB.</p>
              <button
                type="button"
                className="main-button"
                disabled={busy !== ""}
                onClick={() => file.current?.click()}
              >
                Choose a file
              </button>
            </div>
          ) : (
            <ScanPicture
              scan={taken.drawn}
              points={points}
              picking={picking}
              side={person.side ?? null}
              onPlace={place}
            />
          )}
          <input
            ref={file}
            className="unseen"
            type="file"
            aria-label="Scan file"
            accept={SCAN_ENDINGS.join(",")}
            onChange={(event) => {
              const chosen = event.target.files?.[0];
              if (chosen !== undefined) {
                void take(chosen);
              }
              event.target.value = "";
            }}
          />
          <p className="new-case-status" role="status">
            {busy}
          </p>
        </section>
        <div className="new-case-side">
          <PersonEntry
            person={person}
            title={title}
            onTitle={setTitle}
            onPerson={(part) => setPerson((now) => ({ ...now, ...part }))}
          />
          {entry === null ? null : (
            <ScanFacts
              entry={entry}
              unit={unit}
              overLiner={overLiner}
              onUnit={setUnit}
              onOverLiner={setOverLiner}
              onReplace={() => file.current?.click()}
            />
          )}
          <Landmarks
            points={points}
            picking={picking}
            side={person.side ?? null}
            ready={taken !== null}
            onPick={(name) => setPicking(picking === name ? null : name)}
          />
          <section className="block">
            <button
              type="button"
              className="main-button"
              disabled={busy !== "" || entry === null || missing.length > 0 || !complete}
              onClick={() => void begin()}
            >
              Begin the case
            </button>
            <p className="remark">
              {waitsFor(
                entry !== null,
                person,
                missing.map((one) => named(one.name)),
              )}
            </p>
          </section>
          <CautionList cautions={info.cautions} />
        </div>
      </main>
    </div>
  );
}

interface ScanFactsProps {
  readonly entry: ScanEntry;
  readonly unit: LengthUnit | null;
  readonly overLiner: boolean;
  readonly onUnit: (unit: LengthUnit | null) => void;
  readonly onOverLiner: (over: boolean) => void;
  readonly onReplace: () => void;
}

const UNITS: readonly LengthUnit[] = ["mm", "cm", "m", "inch"];

function ScanFacts(props: ScanFactsProps) {
  const { entry, unit, overLiner } = props;
  return (
    <section className="block" aria-label="Scan">
      <div className="block-head">
        <h3>Scan</h3>
        <button type="button" onClick={props.onReplace}>
          Another file
        </button>
      </div>
      <p className="remark">
        {grouped(entry.triangles)} triangles. <Said text={entry.text} />
      </p>
      <div className="form">
        <div className="field">
          <label htmlFor="scan-unit">Unit of the scan</label>
          <select
            id="scan-unit"
            value={unit ?? ""}
            onChange={(event) => props.onUnit((event.target.value || null) as LengthUnit | null)}
          >
            <option value="">Found: {entry.unit}, a guess</option>
            {UNITS.map((one) => (
              <option key={one} value={one}>
                {one}
              </option>
            ))}
          </select>
        </div>
        <div className="field">
          <label htmlFor="scanned-over">Scanned over</label>
          <select
            id="scanned-over"
            value={overLiner ? "liner" : "skin"}
            onChange={(event) => props.onOverLiner(event.target.value === "liner")}
          >
            <option value="skin">The bare skin</option>
            <option value="liner">The liner</option>
          </select>
        </div>
      </div>
    </section>
  );
}

interface LandmarksProps {
  readonly points: Readonly<Record<string, Point>>;
  readonly picking: string | null;
  readonly side: Side | null;
  readonly ready: boolean;
  readonly onPick: (name: string) => void;
}

function Landmarks({ points, picking, side, ready, onPick }: LandmarksProps) {
  const chosen = useRef<HTMLLIElement>(null);
  // biome-ignore lint/correctness/useExhaustiveDependencies: another landmark is the occasion
  useEffect(() => {
    const column = chosen.current?.closest(".new-case-side");
    if (chosen.current && column && !column.matches(":focus-within")) {
      // The column alone is scrolled: in a page of one column the scan stays in view.
      const below = chosen.current.getBoundingClientRect().bottom;
      column.scrollTop += Math.max(0, below - column.getBoundingClientRect().bottom + 8);
    }
  }, [picking]);
  return (
    <section className="block" aria-label="Landmarks">
      <div className="block-head">
        <h3>Landmarks</h3>
      </div>
      <p className="remark">
        Choose one, then touch it on the scan. To move a mark, drag it while none is chosen. The
        first two are needed, the others make the frame surer. What is left out is proposed and
        marked as a guess.
      </p>
      <ul className="asked-landmarks">
        {ASKED.map(({ name, needed, how }) => (
          <li key={name} ref={picking === name ? chosen : undefined}>
            <button
              type="button"
              aria-pressed={picking === name}
              disabled={!ready}
              onClick={() => onPick(name)}
            >
              {named(name)}
            </button>
            <span className="quiet">
              {points[name] === undefined ? (needed ? `needed: ${how}` : how) : "placed"}
            </span>
            {picking === name ? <LandmarkPicture name={name} side={side} /> : null}
          </li>
        ))}
      </ul>
    </section>
  );
}

const NEEDED: readonly (readonly [keyof Person, string])[] = [
  ["code", "code"],
  ["side", "side of the limb"],
  ["mass_kg", "body mass"],
  ["stature_mm", "stature"],
  ["activity", "functional class"],
];

function lacking(person: Partial<Person>): string[] {
  return NEEDED.filter(([entry]) => !person[entry]).map(([, words]) => words);
}

function isComplete(person: Partial<Person>): person is Person {
  return lacking(person).length === 0;
}

/** What is still to be entered, and nothing of what is there. */
export function waitsFor(
  scanned: boolean,
  person: Partial<Person>,
  missing: readonly string[],
): string {
  const waits = [...(scanned ? [] : ["a scan"]), ...lacking(person), ...(scanned ? missing : [])];
  return waits.length === 0 ? "" : `Still needed: ${waits.join(", ")}.`;
}

const TO_MM: Readonly<Record<LengthUnit, number>> = { mm: 1, cm: 10, m: 1000, inch: MM_PER_INCH };

/** Points touched in the picture, in the scan's own frame and the unit that is stated for it. */
export function inScan(
  points: Readonly<Record<string, Point>>,
  { turn, unit: found }: Pick<ScanEntry, "turn" | "unit">,
  stated: LengthUnit | null,
): Record<string, Point> {
  const factor = stated === null ? 1 : TO_MM[stated] / TO_MM[found];
  const back = (at: Point, axis: 0 | 1 | 2): number =>
    factor * turn.reduce((sum, row, i) => sum + row[axis] * (at[i] ?? 0), 0);
  return Object.fromEntries(
    Object.entries(points).map(([name, at]) => [name, [back(at, 0), back(at, 1), back(at, 2)]]),
  );
}
