import "./make.css";
import { useState } from "react";
import { sentenceOf } from "../../api/errors";
import { Block } from "../../components/block";
import { handOver } from "../../components/hand-over";
import { NumberField } from "../../components/number-field";
import { mm } from "../../units/quantities";
import { useCaseState, useSection } from "../../workshop/case-context";
import { useService } from "../../workshop/service-context";
import { useMakingHere } from "./making-context";
import type { Making } from "./use-making";

/** Everything for the bench: socket, positive, work order, template. */
export function MakePanel() {
  const { findings, stored } = useCaseState();
  const { making, start } = useMakingHere();
  const stops = findings.filter((finding) => finding.severity === "stop");
  return (
    <>
      <Block title="Make the files">
        <p className="remark">
          The socket shell and the positive model as 3MF and STL, the work order and a true-size
          template as PDF. The side is marked on the parts.
        </p>
        {stops.length === 0 ? null : (
          <div className="refusal">
            <p className="refusal-head">Findings stop this job.</p>
            <ul>
              {stops.map((finding) => (
                <li key={`${finding.code} ${finding.where}`}>{finding.text}</li>
              ))}
            </ul>
          </div>
        )}
        <button
          type="button"
          className="main-button"
          disabled={making.kind === "running"}
          onClick={start}
        >
          Make the files
        </button>
        <Progress making={making} standing={stored?.revision ?? null} />
      </Block>
      <MakeForm />
    </>
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
          <span>{making.text}</span>
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
          <ul className="made-files">
            {making.files.map((file) => (
              <MadeFile key={file.url} {...file} />
            ))}
          </ul>
        </div>
      );
  }
}

function MadeFile({ name, url, bytes }: { name: string; url: string; bytes: number }) {
  const service = useService();
  const [fault, setFault] = useState<string | null>(null);
  const save = (): void => {
    setFault(null);
    service
      .download(url)
      .then((blob) => handOver(blob, name))
      .catch((error: unknown) => setFault(sentenceOf(error)));
  };
  return (
    <li>
      <button type="button" className="file-button" onClick={save}>
        <span className="file-name">{name}</span>
        <span className="quiet">{sizeWords(bytes)}</span>
      </button>
      {fault === null ? null : <span className="problem">{fault}</span>}
    </li>
  );
}

function sizeWords(bytes: number): string {
  const kilobytes = bytes / 1000;
  return kilobytes < 1000
    ? `${Math.max(1, Math.round(kilobytes)).toString()} kB`
    : `${(kilobytes / 1000).toFixed(1)} MB`;
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
