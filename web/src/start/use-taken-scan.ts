import { useRef, useState } from "react";
import type { Service } from "../api/client";
import { ServiceRefused } from "../api/errors";
import type { ScanEntry } from "../api/replies";
import type { DrawnScan } from "./scan-picture";

interface TakenScan {
  readonly entry: ScanEntry;
  readonly drawn: DrawnScan;
}

/** The scan of a new case: of files given one after another the last one wins. */
export function useTakenScan(service: Service, onRefused: (error: unknown) => void) {
  const [taken, setTaken] = useState<TakenScan | null>(null);
  /** What is being read, in words; empty when nothing is. */
  const [reading, setReading] = useState("");
  const takes = useRef(0);
  /** Show a scan in place of the one that stands; whether it is the one that is shown now. */
  const show = async (words: string, asked: () => Promise<TakenScan>): Promise<boolean> => {
    takes.current += 1;
    const number = takes.current;
    const isLast = (): boolean => takes.current === number;
    setTaken(null);
    setReading(words);
    try {
      const read = await asked();
      if (isLast()) {
        setTaken(read);
        setReading("");
      }
      return isLast();
    } catch (error) {
      if (isLast()) {
        onRefused(error);
        setReading("");
      }
      return false;
    }
  };
  return {
    taken,
    reading,
    take: (file: File) => show(file.name, async () => drawn(service, await service.takeScan(file))),
    /** Show a scan again that the service took in before the page was loaded anew. */
    takeUp: (entry: ScanEntry) =>
      show("the scan again", () =>
        drawn(service, entry).catch((cause: unknown) => {
          throw cause instanceof ServiceRefused ? new Error(NO_LONGER, { cause }) : cause;
        }),
      ),
    /** Show none. */
    giveUp: () => {
      takes.current += 1;
      setTaken(null);
      setReading("");
    },
  };
}

const NO_LONGER =
  "The scan that was given here before is no longer at hand; choose its file once more.";

async function drawn(service: Service, entry: ScanEntry): Promise<TakenScan> {
  const arrays = await service.scanArrays(entry.arrays);
  const positions = arrays.get("scan.positions");
  const faces = arrays.get("scan.faces");
  if (!(positions instanceof Float32Array && faces instanceof Uint32Array)) {
    throw new Error("The service sent no picture of the scan.");
  }
  return { entry, drawn: { positions, faces } };
}
