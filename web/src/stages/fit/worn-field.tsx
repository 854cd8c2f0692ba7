import { useState } from "react";
import { SelectField } from "../../components/choice-field";
import { NumberField } from "../../components/number-field";
import { useMadeRevisions } from "../../workshop/use-revisions";

const OPEN = "";
const ANOTHER = "another";

interface WornFieldProps {
  readonly revision: number | null;
  readonly path: string;
  readonly onChange: (revision: number | null) => void;
}

/** Which revision was worn: asked, with the newest that was made as the proposal. */
export function WornField({ revision, path, onChange }: WornFieldProps) {
  const made = useMadeRevisions();
  const [another, setAnother] = useState(false);
  const newest = made[0];
  const numbers = made.map(({ number }) => number);
  const listed = revision === null || numbers.includes(revision) ? [] : [revision];
  const choose = (value: string): void => {
    setAnother(value === ANOTHER);
    if (value !== ANOTHER) {
      onChange(value === OPEN ? null : Number(value));
    }
  };
  return (
    <>
      <SelectField
        label="Revision worn"
        value={another ? ANOTHER : (revision?.toString() ?? OPEN)}
        options={[
          { value: OPEN, label: "not stated" },
          ...made.map(({ number, saved_at }) => ({
            value: number.toString(),
            label: `${number.toString()}, made, stored ${saved_at.slice(0, 10)}`,
          })),
          ...listed.map((number) => ({ value: number.toString(), label: number.toString() })),
          { value: ANOTHER, label: "another …" },
        ]}
        path={path}
        onChange={choose}
      />
      {another ? (
        <NumberField
          label="Number of that revision"
          value={revision}
          unit=""
          digits={0}
          onChange={(number) => {
            setAnother(false);
            onChange(Math.max(1, Math.round(number)));
          }}
        />
      ) : null}
      {revision === null && !another ? (
        <p className="wide worn-asked">
          Which revision did the person wear?{" "}
          {newest === undefined ? (
            "None has been made here yet: choose another and give its number."
          ) : (
            <button type="button" onClick={() => onChange(newest.number)}>
              Revision {newest.number}, the newest made
            </button>
          )}
        </p>
      ) : null}
    </>
  );
}
