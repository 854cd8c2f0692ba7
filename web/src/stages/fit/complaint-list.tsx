import { useEffect, useRef } from "react";
import type { Complaint, FitPhase, FitSign } from "../../api/document";
import { useInfo } from "../../case/case-context";
import { useView } from "../../case/view-context";
import { type ComplaintDraft, withDraft } from "../../case/view-settings";
import { SelectField } from "../../components/choice-field";
import { ScoreField } from "../../components/score-field";
import { TextField } from "../../components/text-field";
import { useListFocus } from "../../components/use-list-focus";
import { named } from "../../words/words";
import { useResults } from "../../workshop/use-viewer";
import { EMPTY_DRAFT, isOfWhole, missingOf, toldWhole } from "./complaint-draft";
import { READ_AS } from "./fittings";

const SIGNS: readonly FitSign[] = [
  "pain",
  "pressure",
  "rubbing",
  "pinching",
  "numbness",
  "redness_that_stays",
  "blister_or_broken_skin",
  "discoloured_or_swollen_end",
  "loose",
  "socket_turns",
  "limb_moves_up_and_down",
  "end_bottoms_out",
  "brim_gapes",
];

const PHASES: readonly FitPhase[] = [
  "donned",
  "standing",
  "early_stance",
  "mid_stance",
  "late_stance",
  "swing",
  "after_doffing",
];

const options = <Value extends string>(values: readonly Value[]) =>
  values.map((value) => ({ value, label: named(value) }));

interface ComplaintListProps {
  readonly complaints: readonly Complaint[];
  /** Position of the fitting. */
  readonly fitting: number;
  readonly path: string;
  readonly onChange: (complaints: readonly Complaint[]) => void;
}

/** What the person feels or what is seen: sign, phase, and where, by touch or by landmark. */
export function ComplaintList({ complaints, fitting, path, onChange }: ComplaintListProps) {
  const { settings, setSettings } = useView();
  const list = useRef<HTMLOListElement>(null);
  const follows = useRef(false);
  const draft = settings.drafts[fitting] ?? null;
  const told = draft && toldWhole(draft);
  // One that becomes a complaint leaves the list as long as it was.
  const { heading, removing } = useListFocus(complaints.length + (draft === null ? 0 : 1));
  const { follow } = useLoadShown();
  // By a touch of the picture or by an entry here: told whole, it is a complaint like any other.
  // biome-ignore lint/correctness/useExhaustiveDependencies: what is told is the occasion
  useEffect(() => {
    if (told !== null) {
      follows.current = list.current?.contains(document.activeElement) ?? false;
      onChange([...complaints, told]);
      follow(told.phase);
      setSettings((now) => withDraft(now, fitting, null));
    }
  }, [draft]);
  // biome-ignore lint/correctness/useExhaustiveDependencies: a complaint more is the occasion
  useEffect(() => {
    // The entries that had the focus are gone: it goes to the complaint that they became.
    if (follows.current) {
      follows.current = false;
      list.current?.querySelector<HTMLElement>("li:last-child > fieldset")?.focus();
    }
  }, [complaints.length]);
  const begin = (): void => setSettings((now) => withDraft(now, fitting, EMPTY_DRAFT));
  const giveUp = (): void => removing(() => setSettings((now) => withDraft(now, fitting, null)));
  return (
    <>
      <h4 {...heading}>What is felt or seen</h4>
      <ol className="complaints" ref={list}>
        {complaints.map((one, index) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: complaints have no name of their own
          <li key={index}>
            <ComplaintFields
              complaint={one}
              index={index}
              path={`${path}.${index.toString()}`}
              onChange={(part) =>
                onChange(complaints.map((old, i) => (i === index ? { ...old, ...part } : old)))
              }
              onRemove={() => removing(() => onChange(complaints.filter((_, i) => i !== index)))}
            />
          </li>
        ))}
        {draft === null ? null : (
          <li>
            <DraftFields draft={draft} fitting={fitting} onRemove={giveUp} />
          </li>
        )}
      </ol>
      <button type="button" disabled={draft !== null} onClick={begin}>
        Add a complaint
      </button>
    </>
  );
}

/** The picture shows the load in which a complaint is read, where that load is computed. */
function useLoadShown() {
  const { settings, setSettings } = useView();
  const loads = useResults("prove")?.interface.cases.map((one) => one.load_case) ?? [];
  const follow = (phase: FitPhase): void => {
    const loadCase = READ_AS[phase];
    if (loadCase !== settings.loadCase && loads.includes(loadCase)) {
      setSettings((now) => ({ ...now, loadCase }));
    }
  };
  return { shown: settings.loadCase, follow };
}

const UNSAID = "";
const choose = { value: UNSAID, label: "choose" } as const;

interface DraftFieldsProps {
  readonly draft: ComplaintDraft;
  readonly fitting: number;
  readonly onRemove: () => void;
}

/** A complaint that is being told: empty until someone says what it is. */
function DraftFields({ draft, fitting, onRemove }: DraftFieldsProps) {
  const { landmarks } = useInfo();
  const { settings, setSettings } = useView();
  const placing = settings.complaint === "draft";
  const { follow } = useLoadShown();
  const set = (part: Partial<ComplaintDraft>): void =>
    setSettings((now) => withDraft(now, fitting, { ...draft, ...part }));
  const isWhole = isOfWhole(draft.sign);
  const elsewhere = draft.whole && isWhole ? WHOLE : UNSAID;
  const touched = draft.point === null ? elsewhere : TOUCHED;
  return (
    <fieldset className="form complaint">
      <legend className="unseen">Complaint that is being told</legend>
      <SelectField
        label="What"
        value={draft.sign ?? UNSAID}
        options={[choose, ...options(SIGNS)]}
        onChange={(sign) => set({ sign: sign === UNSAID ? null : sign })}
      />
      <SelectField
        label="When"
        value={draft.phase ?? UNSAID}
        options={[choose, ...options(PHASES)]}
        onChange={(phase) => {
          set({ phase: phase === UNSAID ? null : phase });
          if (phase !== UNSAID) {
            follow(phase);
          }
        }}
      />
      <SelectField
        label="Where"
        value={draft.landmark ?? touched}
        options={[
          choose,
          ...(isWhole ? [{ value: WHOLE, label: "The whole socket" }] : []),
          ...(draft.point === null ? [] : [{ value: TOUCHED, label: "Touched place" }]),
          ...options(landmarks),
        ]}
        onChange={(value) => {
          if (value !== TOUCHED) {
            const landmark = value === WHOLE || value === UNSAID ? null : value;
            set({ landmark, point: null, whole: value === WHOLE });
          }
        }}
      />
      <p className="remark wide" role="status">
        {missingOf(draft)}
      </p>
      <div className="complaint-actions">
        <TouchButton placing={placing} which="draft" />
        <button type="button" className="plain-button" onClick={onRemove}>
          Remove
        </button>
      </div>
    </fieldset>
  );
}

/** The next touch of the limb says where it is. */
function TouchButton({ placing, which }: { placing: boolean; which: number | "draft" }) {
  const { setSettings } = useView();
  return (
    <button
      type="button"
      aria-pressed={placing}
      onClick={() =>
        setSettings((now) => ({ ...now, complaint: placing ? null : which, picking: null }))
      }
    >
      {placing ? "Give up" : "Touch it on the limb"}
    </button>
  );
}

interface ComplaintFieldsProps {
  readonly complaint: Complaint;
  readonly index: number;
  readonly path: string;
  readonly onChange: (part: Partial<Complaint>) => void;
  readonly onRemove: () => void;
}

const TOUCHED = "touched";
const WHOLE = "whole";

function ComplaintFields({ complaint, index, path, onChange, onRemove }: ComplaintFieldsProps) {
  const { landmarks } = useInfo();
  const { settings } = useView();
  const placing = settings.complaint === index;
  const whole = isOfWhole(complaint.sign);
  const place = complaint.landmark ?? (complaint.point === null ? WHOLE : TOUCHED);
  const places = [
    ...(whole ? [{ value: WHOLE, label: "The whole socket" }] : []),
    ...(complaint.point === null ? [] : [{ value: TOUCHED, label: "Touched place" }]),
    ...options(landmarks),
  ];
  const { shown, follow } = useLoadShown();
  // What is felt of the whole socket needs no place; anything else waits until it has one.
  const signs = place === WHOLE ? SIGNS.filter(isOfWhole) : SIGNS;
  return (
    <fieldset className="form complaint" tabIndex={-1} onFocus={() => follow(complaint.phase)}>
      <legend className="unseen">Complaint {index + 1}</legend>
      <SelectField
        label="What"
        value={complaint.sign}
        options={options(signs)}
        onChange={(sign) => onChange({ sign })}
      />
      <SelectField
        label="When"
        value={complaint.phase}
        options={options(PHASES)}
        onChange={(phase) => {
          onChange({ phase });
          follow(phase);
        }}
      />
      <SelectField
        label="Where"
        value={place}
        options={places}
        onChange={(value) => {
          if (value !== TOUCHED) {
            onChange({ landmark: value === WHOLE ? null : value, point: null });
          }
        }}
      />
      {shown === READ_AS[complaint.phase] ? null : (
        <p className="remark wide">
          The picture shows {named(shown).toLowerCase()}; this is read in{" "}
          {named(READ_AS[complaint.phase]).toLowerCase()}.
        </p>
      )}
      <TextField
        label="Note (no names)"
        value={complaint.note}
        path={`${path}.note`}
        onChange={(note) => onChange({ note })}
      />
      <ScoreField
        label="How bad, 0 to 10"
        value={complaint.severity}
        ends={["hardly felt", "unbearable"]}
        path={`${path}.severity`}
        onChange={(severity) => onChange({ severity })}
      />
      <div className="complaint-actions">
        <TouchButton placing={placing} which={index} />
        <button type="button" className="plain-button" onClick={onRemove}>
          Remove
        </button>
      </div>
    </fieldset>
  );
}
