import { useRef, useState } from "react";
import type { Service } from "../api/client";
import type { ScanEntry } from "../api/replies";
import type { DrawnScan } from "./scan-picture";

interface TakenScan {
  readonly entry: ScanEntry;
  readonly drawn: DrawnScan;
}

/** The scan of a new case: of files given one after another the last one wins. */
export function useTakenScan(service: Service, onRefused: (error: unknown) => void) {
  const [taken, setTaken] = useState<TakenScan | null>(null);
  /** Name of the file that is being read; empty when none is. */
  const [reading, setReading] = useState("");
  const takes = useRef(0);
  /** Read a file in place of the one that stands; whether it is the one that is shown now. */
  const take = async (file: File): Promise<boolean> => {
    takes.current += 1;
    const number = takes.current;
    const isLast = (): boolean => takes.current === number;
    setTaken(null);
    setReading(file.name);
    try {
      const read = await readScan(service, file);
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
  return { taken, reading, take };
}

async function readScan(service: Service, file: File): Promise<TakenScan> {
  const entry = await service.takeScan(file);
  const array = (name: string) => {
    const described = entry.arrays[name];
    if (described === undefined) {
      throw new Error("The service sent no picture of the scan.");
    }
    return service.scanArray(name, described);
  };
  const [positions, faces] = await Promise.all([array("scan.positions"), array("scan.faces")]);
  return {
    entry,
    drawn: { positions: positions as Float32Array, faces: faces as Uint32Array },
  };
}
