import type { Complaint, FitPhase, FitSign } from "../../api/document";
import { SelectField } from "../../components/choice-field";
import { ScoreField } from "../../components/score-field";
import { TextField } from "../../components/text-field";
import { named } from "../../words/words";
import { useInfo } from "../../workshop/case-context";
import { useResults } from "../../workshop/use-viewer";
import { useView } from "../../workshop/view-context";
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

const WHOLE_SOCKET: ReadonlySet<FitSign> = new Set([
  "loose",
  "socket_turns",
  "limb_moves_up_and_down",
]);

const options = <Value extends string>(values: readonly Value[]) =>
  values.map((value) => ({ value, label: named(value) }));

interface ComplaintListProps {
  readonly complaints: readonly Complaint[];
  readonly path: string;
  readonly onChange: (complaints: readonly Complaint[]) => void;
}

/** What the person feels or what is seen: sign, phase, and where, by touch or by landmark. */
export function ComplaintList({ complaints, path, onChange }: ComplaintListProps) {
  const { landmarks } = useInfo();
  const first = landmarks[0] ?? "mid_patellar_tendon";
  const fresh: Complaint = {
    sign: "pain",
    phase: "mid_stance",
    landmark: first,
    point: null,
    severity: null,
    note: "",
  };
  return (
    <>
      <h4>What is felt or seen</h4>
      <ol className="complaints">
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
              onRemove={() => onChange(complaints.filter((_, i) => i !== index))}
            />
          </li>
        ))}
      </ol>
      <button type="button" onClick={() => onChange([...complaints, fresh])}>
        Add a complaint
      </button>
    </>
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
  const { settings, setSettings } = useView();
  const placing = settings.complaint === index;
  const whole = WHOLE_SOCKET.has(complaint.sign);
  const place = complaint.landmark ?? (complaint.point === null ? WHOLE : TOUCHED);
  const places = [
    ...(whole ? [{ value: WHOLE, label: "The whole socket" }] : []),
    ...(complaint.point === null ? [] : [{ value: TOUCHED, label: "Where it was touched" }]),
    ...options(landmarks),
  ];
  // The picture shows the load in which the complaint is read.
  const loads = useResults("prove")?.interface.cases.map((one) => one.load_case) ?? [];
  const follow = (phase: FitPhase): void => {
    const loadCase = READ_AS[phase];
    if (loadCase !== settings.loadCase && loads.includes(loadCase)) {
      setSettings((now) => ({ ...now, loadCase }));
    }
  };
  const chooseSign = (sign: FitSign): void => {
    // What is felt of the whole socket needs no place; anything else does.
    const nowhere = complaint.landmark === null && complaint.point === null;
    const needs = !WHOLE_SOCKET.has(sign) && nowhere;
    onChange(needs ? { sign, landmark: landmarks[0] ?? null } : { sign });
  };
  return (
    <fieldset className="form complaint" onFocus={() => follow(complaint.phase)}>
      <legend className="unseen">Complaint {index + 1}</legend>
      <SelectField
        label="What"
        value={complaint.sign}
        options={options(SIGNS)}
        onChange={chooseSign}
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
        <button
          type="button"
          aria-pressed={placing}
          onClick={() =>
            setSettings((now) => ({ ...now, complaint: placing ? null : index, picking: null }))
          }
        >
          {placing ? "Give up" : "Touch it on the limb"}
        </button>
        <button type="button" className="plain-button" onClick={onRemove}>
          Remove
        </button>
      </div>
    </fieldset>
  );
}
