import { type DragEvent, useState } from "react";

/** Endings of the files that a scan comes as. */
export const SCAN_ENDINGS = [".stl", ".ply", ".obj", ".3mf", ".glb"] as const;

export interface Dropped {
  readonly file: File;
  /** What was left out of several files; empty when there was one. */
  readonly note: string;
}

/** The one file that is taken of those dropped: the first that can be a scan. */
export function takenOf(files: readonly File[]): Dropped | null {
  const usable = ({ name }: File): boolean =>
    SCAN_ENDINGS.some((ending) => name.toLowerCase().endsWith(ending));
  const file = files.find(usable) ?? files[0];
  if (file === undefined) {
    return null;
  }
  const others = files.filter((one) => one !== file).map(({ name }) => name);
  const are = others.length === 1 ? "is" : "are";
  const note =
    others.length === 0
      ? ""
      : `${files.length.toString()} files were dropped. A case takes one scan: ${file.name} is taken; ${others.join(", ")} ${are} left out.`;
  return { file, note };
}

/** Dropping a scan on a part of the page, and whether a file is held over it. */
export function useScanDrop(onDropped: (dropped: Dropped) => void) {
  const [over, setOver] = useState(false);
  const bringsFiles = ({ dataTransfer }: DragEvent): boolean =>
    dataTransfer.types.includes("Files");
  return {
    className: over ? " dropping" : "",
    handlers: {
      onDragOver: (event: DragEvent): void => {
        if (bringsFiles(event)) {
          event.preventDefault();
          setOver(true);
        }
      },
      onDragLeave: (event: DragEvent): void => {
        const to = event.relatedTarget;
        if (!(to instanceof Node && event.currentTarget.contains(to))) {
          setOver(false);
        }
      },
      onDrop: (event: DragEvent): void => {
        event.preventDefault();
        setOver(false);
        const dropped = takenOf([...event.dataTransfer.files]);
        if (dropped !== null) {
          onDropped(dropped);
        }
      },
    },
  };
}
