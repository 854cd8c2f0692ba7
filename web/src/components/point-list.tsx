import type { ReactNode } from "react";

interface PointListProps {
  readonly heads: readonly [string, string];
  /** Per point: its two fields, and how it is named to a screen reader. */
  readonly rows: readonly {
    readonly name: string;
    readonly fields: readonly [ReactNode, ReactNode];
  }[];
  readonly onRemove: (index: number) => void;
  readonly empty: string;
}

/** A short list of points with two numbers each. */
export function PointList({ heads, rows, onRemove, empty }: PointListProps) {
  if (rows.length === 0) {
    return <p className="remark">{empty}</p>;
  }
  return (
    <div className="points">
      <span className="field-name">{heads[0]}</span>
      <span className="field-name">{heads[1]}</span>
      <span />
      {rows.map((row, index) => (
        <PointRow
          key={`${index.toString()} of ${rows.length.toString()}`}
          {...row}
          onRemove={() => onRemove(index)}
        />
      ))}
    </div>
  );
}

interface PointRowProps {
  readonly name: string;
  readonly fields: readonly [ReactNode, ReactNode];
  readonly onRemove: () => void;
}

function PointRow({ name, fields, onRemove }: PointRowProps) {
  return (
    <>
      {fields[0]}
      {fields[1]}
      <button type="button" className="plain-button" onClick={onRemove}>
        Remove<span className="unseen"> {name}</span>
      </button>
    </>
  );
}
