import { useState } from "react";
import { sentenceOf } from "../../api/errors";
import type { Job } from "../../api/replies";
import { useService } from "../../case/service-context";
import { handOver } from "../../components/hand-over";
import { openAside } from "../../components/open-aside";

type File = Job["files"][number];

const WORK_ORDER = "work_order.pdf";

/** What was made: the work order to open, every file to download. */
export function MadeFiles({ files }: { files: readonly File[] }) {
  const service = useService();
  const [fault, setFault] = useState<string | null>(null);
  const order = files.find(({ name }) => name === WORK_ORDER);
  const tried = (done: Promise<void>): void => {
    setFault(null);
    done.catch((error: unknown) => setFault(sentenceOf(error)));
  };
  const open = ({ url }: File): void => tried(openAside(service.download(url)));
  return (
    <>
      {order === undefined ? null : (
        <button type="button" className="open-order" onClick={() => open(order)}>
          Open the work order
        </button>
      )}
      {fault === null ? null : (
        <p className="problem" role="alert">
          {fault}
        </p>
      )}
      <ul className="made-files">
        {files.map((file) => (
          <li key={file.url}>
            <button
              type="button"
              className="file-button"
              onClick={() =>
                tried(service.download(file.url).then((blob) => handOver(blob, file.name)))
              }
            >
              <span className="file-name">{file.name}</span>
              <span className="quiet">Download, {sizeWords(file.bytes)}</span>
            </button>
          </li>
        ))}
      </ul>
    </>
  );
}

function sizeWords(bytes: number): string {
  const kilobytes = bytes / 1000;
  return kilobytes < 1000
    ? `${Math.max(1, Math.round(kilobytes)).toString()} kB`
    : `${(kilobytes / 1000).toFixed(1)} MB`;
}
