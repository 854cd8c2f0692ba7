import { type KeyboardEvent, useMemo, useRef, useState } from "react";
import type { Point, Side } from "../api/document";
import type { Scene } from "../viewer/scene";
import { named } from "../words/words";
import { ByHand, ByKeys, CROSS_HAIR_KEYS, CrossHair, useCrossHair } from "../workshop/cross-hair";
import { Hint } from "../workshop/hint";
import { usePicture } from "../workshop/use-viewer";
import { StandardViews } from "../workshop/view-controls";
import { handleViewerKey, viewKeysWords } from "../workshop/viewer-keys";
import { type ScanFacing, scanFacing } from "./scan-facing";

/** A scan that has no landmarks yet, stood up for the picture: mm, not in the scan's own frame. */
export interface DrawnScan {
  readonly positions: Float32Array;
  readonly faces: Uint32Array;
}

interface ScanPictureProps {
  readonly scan: DrawnScan;
  readonly points: Readonly<Record<string, Point>>;
  readonly picking: string | null;
  /** Null while it is not given. */
  readonly side: Side | null;
  readonly onPlace: (name: string, at: Point) => void;
}

/** The scan as it came: touched where a landmark lies. */
export function ScanPicture({ scan, points, picking, side, onPlace }: ScanPictureProps) {
  const [seen, setSeen] = useState("");
  const faces = useMemo(
    () => scanFacing(scan.positions, points, side),
    [scan.positions, points, side],
  );
  const host = useRef<HTMLDivElement>(null);
  const scene = useMemo((): Scene => {
    const markers = Object.entries(points).map(([name, at]) => ({
      id: name,
      label: named(name),
      at,
      look: "sure" as const,
      selected: name === picking,
      movable: true,
    }));
    const mesh = {
      id: "scan",
      ...scan,
      finish: "skin" as const,
      opacity: 1,
      paint: null,
      readable: true,
    };
    return { meshes: [mesh], lines: [], markers, ...faces.facing };
  }, [scan, points, picking, faces]);
  const { viewer, fault } = usePicture(host, scene, {
    onReading: () => undefined,
    onTouch: ({ point }) => {
      if (picking !== null) {
        onPlace(picking, point);
      }
    },
    onMarker: () => undefined,
    onMarkerMoved: onPlace,
    onView: setSeen,
  });
  const { missed, onKey } = useCrossHair(host, viewer, picking !== null);
  const onKeyDown = (event: KeyboardEvent): void => {
    if (onKey(event) || (viewer !== null && handleViewerKey(event.key, viewer))) {
      event.preventDefault();
    }
  };
  return (
    <>
      <StandardViews viewer={viewer} side={faces.side} guess={faces.guess} />
      <div className="picture-line">
        <p className="seen">{seenWords(seen, faces)}</p>
        {picking === null ? null : (
          <Hint>
            Touch the scan at: <strong>{named(picking)}</strong>. <ByKeys missed={missed} />
            <ByHand />
          </Hint>
        )}
        {faces.contradicted ? (
          <p className="problem" role="alert">
            The fibular head lies as on a {faces.side === "right" ? "left" : "right"} limb: check
            the side and the landmarks.
          </p>
        ) : null}
      </div>
      <div className={`picture${picking === null ? "" : " picking"}`}>
        <div
          ref={host}
          className="canvas-host"
          // biome-ignore lint/a11y/noNoninteractiveTabindex: arrows and view keys act on it
          tabIndex={0}
          role="application"
          aria-label={`Picture of the scan. ${seenWords(seen, faces)}. Arrow keys turn it, plus and minus zoom, ${viewKeysWords("it")}. ${picking === null ? "" : CROSS_HAIR_KEYS}`}
          onKeyDown={onKeyDown}
        />
        {picking === null ? null : <CrossHair />}
        {fault === null ? null : (
          <p className="refusal">
            This browser draws no 3-D picture here ({fault}). Give the landmarks as a file with
            <code> limbwright new</code>.
          </p>
        )}
      </div>
    </>
  );
}

/** From where the picture looks, and what of that nobody has said yet. */
function seenWords(seen: string, { facing: { guessed = [] }, side }: ScanFacing): string {
  if (guessed.includes("front")) {
    return `${seen}: a guess until the mid-patellar tendon is touched`;
  }
  const open =
    side === null ? "the side is given or the fibular head touched" : "the side is given";
  return guessed.includes("outer") ? `${seen}; outer is a guess until ${open}` : seen;
}
