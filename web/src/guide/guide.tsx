import "./guide.css";
import { type ReactNode, useEffect, useRef, useState } from "react";
import { ALL_CASES, caseAddress, goTo, NEW_CASE, useRoute } from "../browser/route";
import { useCaseState, useDocument } from "../case/case-context";
import { findEntry, showEntry } from "../case/entry";
import { useUnits } from "../units/units-context";
import { stageTitle } from "../words/words";
import { guideAddress, guideStart } from "./places";
import { END, type GuideStep, STEPS } from "./steps";
import { useBegun, useDone, useFacts } from "./use-guide";

/** The guided first case, while its place stands in the address. */
export function Guide() {
  const route = useRoute();
  const { id } = useCaseState();
  const { invented } = useDocument();
  if (route.kind !== "case" || route.guide === null || route.stage === null) {
    return null;
  }
  const leave = caseAddress(id, route.stage);
  if (!invented) {
    return <NotHere leave={leave} />;
  }
  return <Course place={route.guide} stage={route.stage} leave={leave} />;
}

interface CourseProps {
  readonly place: string;
  readonly stage: string;
  readonly leave: string;
}

function Course({ place, stage, leave }: CourseProps) {
  const step = STEPS.find((one) => one.id === place) ?? null;
  const begun = useBegun();
  const facts = useFacts(begun.document);
  const done = useDone(place, step, facts);
  const units = useUnits();
  if (step === null) {
    return place === END ? <End done={done} leave={leave} /> : <NoSuchStep leave={leave} />;
  }
  const seen = done.includes(step.id);
  const told = seen && facts !== null ? step.told(facts, units) : null;
  return (
    <Step
      step={step}
      away={step.stage !== stage}
      leave={leave}
      done={seen}
      told={told}
      problem={begun.problem}
    />
  );
}

const NOTHING_HERE = "There is nothing to do it with here just now; the step may be skipped.";

interface StepProps {
  readonly step: GuideStep;
  /** Another stage is open than the step's. */
  readonly away: boolean;
  readonly done: boolean;
  readonly leave: string;
  readonly told: string | null;
  /** Why it cannot be known whether a step is done. */
  readonly problem: string | null;
}

function Step({ step, away, done, leave, told, problem }: StepProps) {
  const { id } = useCaseState();
  const act = step.act(useUnits());
  const index = STEPS.indexOf(step);
  const before = STEPS[index - 1]?.id;
  const after = STEPS[index + 1]?.id ?? END;
  const count = `Step ${(index + 1).toString()} of ${STEPS.length.toString()}`;
  const head = useFocusWhenLost(step.id);
  const { show, missing } = useShow(step, away);
  const hindrance = problem ?? (missing ? NOTHING_HERE : "");
  const word = done ? "Done." : "Not done yet.";
  const more = done ? (told ?? "") : hindrance;
  return (
    <section className="guide" aria-label="Guided first case">
      <div className="guide-words">
        <h2 ref={head} tabIndex={-1}>
          <span className="guide-count">
            {count} · {stageTitle(step.stage)}
          </span>{" "}
          {step.title}
        </h2>
        <p>
          {step.words} <strong>{act}</strong>
        </p>
        <p className="guide-state">
          <span className={done ? "guide-done" : undefined}>
            {done ? <Tick /> : null}
            {word}
          </span>{" "}
          {more}
        </p>
      </div>
      <div className="guide-buttons">
        <button
          type="button"
          disabled={before === undefined}
          onClick={() => before !== undefined && goTo(guideAddress(id, before))}
        >
          Back
        </button>
        <button type="button" onClick={show}>
          {away ? `Go to ${stageTitle(step.stage)}` : "Show me"}
        </button>
        <button
          type="button"
          className={done ? "main-button" : undefined}
          onClick={() => goTo(guideAddress(id, after))}
        >
          {done ? "Next" : "Skip"}
        </button>
        <a className="guide-leave" href={leave}>
          Leave the guide
        </a>
      </div>
      <p className="unseen" role="status">
        {more === "" && !done ? `${count}. ${step.title} ${act}` : `${count}. ${word} ${more}`}
      </p>
    </section>
  );
}

/** Leads to the step's entry, or first to its stage; says so where the case has no such entry. */
function useShow({ id: place, entries }: GuideStep, away: boolean) {
  const { id } = useCaseState();
  const [missingAt, setMissingAt] = useState<string | null>(null);
  const show = (): void => {
    if (away) {
      goTo(guideAddress(id, place));
      return;
    }
    const entry = findEntry(entries, document);
    setMissingAt(entry === null ? place : null);
    if (entry !== null) {
      showEntry(entry);
    }
  };
  return { show, missing: missingAt === place };
}

/** Where the focus went with what was there before, it goes to the head of what came. */
function useFocusWhenLost(place: string) {
  const head = useRef<HTMLHeadingElement>(null);
  // biome-ignore lint/correctness/useExhaustiveDependencies: each place is looked at once
  useEffect(() => {
    if (document.activeElement === document.body || document.activeElement === null) {
      head.current?.focus();
    }
  }, [place]);
  return head;
}

function End({ done, leave }: { done: readonly string[]; leave: string }) {
  const { id } = useCaseState();
  const count = STEPS.filter((step) => done.includes(step.id)).length;
  const last = STEPS.at(-1)?.id ?? END;
  const words = `${count.toString()} of ${STEPS.length.toString()} steps done.`;
  const head = useFocusWhenLost(END);
  return (
    <section className="guide" aria-label="Guided first case">
      <div className="guide-words">
        <h2 ref={head} tabIndex={-1}>
          That is the whole job
        </h2>
        <p>
          {words} A case of your own begins with a scan: <a href={NEW_CASE}>New case</a>. This one
          stays in the <a href={ALL_CASES}>list of cases</a>, where it can be put away.
        </p>
        <p className="guide-state">
          What it computed supports your decision and never makes it; read the cautions of each
          stage.
        </p>
      </div>
      <div className="guide-buttons">
        <button type="button" onClick={() => goTo(guideAddress(id, last))}>
          Back
        </button>
        <a className="guide-leave" href={leave}>
          Leave the guide
        </a>
      </div>
      <p className="unseen" role="status">
        The guide is at its end. {words}
      </p>
    </section>
  );
}

/** On a person's own case the guide asks for nothing. */
function NotHere({ leave }: { leave: string }) {
  return (
    <Note
      title="The guide is not for this case"
      words="It asks for changes made for practice, which would stand in this person’s record. It works on invented cases only: choose “Guided first case” in the list of cases."
      leave={leave}
    >
      <a href={ALL_CASES}>All cases</a>
    </Note>
  );
}

function NoSuchStep({ leave }: { leave: string }) {
  const { id } = useCaseState();
  return (
    <Note
      title="The guide has no such step"
      words="The address names a step that is not there."
      leave={leave}
    >
      <a href={guideStart(id)}>First step</a>
    </Note>
  );
}

interface NoteProps {
  readonly title: string;
  readonly words: string;
  readonly leave: string;
  readonly children: ReactNode;
}

function Note({ title, words, leave, children }: NoteProps) {
  return (
    <section className="guide" aria-label="Guided first case">
      <div className="guide-words">
        <h2>{title}</h2>
        <p role="status">{words}</p>
      </div>
      <div className="guide-buttons">
        {children}
        <a className="guide-leave" href={leave}>
          Leave the guide
        </a>
      </div>
    </section>
  );
}

function Tick() {
  return (
    <svg className="guide-tick" viewBox="0 0 16 16" aria-hidden="true" focusable="false">
      <path d="M2.4 8.6 6.2 12.4 13.6 4" fill="none" stroke="currentColor" strokeWidth="2.2" />
    </svg>
  );
}
