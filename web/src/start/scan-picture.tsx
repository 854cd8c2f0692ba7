import { type KeyboardEvent, useEffect, useMemo, useRef } from "react";
import type { Point } from "../api/document";
import type { Scene } from "../viewer/scene";
import { named } from "../words/words";
import { ByHand, ByKeys, CROSS_HAIR_KEYS, CrossHair, useCrossHair } from "../workshop/cross-hair";
import { Hint } from "../workshop/hint";
import { useViewer } from "../workshop/use-viewer";
import { handleViewerKey } from "../workshop/viewer-keys";

/** A scan that has no landmarks yet, in its own frame. */
export interface DrawnScan {
  readonly positions: Float32Array;
  readonly faces: Uint32Array;
}

interface ScanPictureProps {
  readonly scan: DrawnScan;
  readonly points: Readonly<Record<string, Point>>;
  readonly picking: string | null;
  readonly onPlace: (name: string, at: Point) => void;
}

/** The scan as it came: touched where a landmark lies. */
export function ScanPicture({ scan, points, picking, onPlace }: ScanPictureProps) {
  const host = useRef<HTMLDivElement>(null);
  const { viewer, fault } = useViewer(host, {
    onReading: () => undefined,
    onTouch: ({ point }) => {
      if (picking !== null) {
        onPlace(picking, point);
      }
    },
    onMarker: () => undefined,
    onMarkerMoved: onPlace,
    onView: () => undefined,
  });
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
    return { meshes: [mesh], lines: [], markers, outward: 1 };
  }, [scan, points, picking]);
  useEffect(() => viewer?.show(scene), [viewer, scene]);
  const { missed, onKey } = useCrossHair(host, viewer, picking !== null);
  const onKeyDown = (event: KeyboardEvent): void => {
    if (onKey(event) || (viewer !== null && handleViewerKey(event.key, viewer))) {
      event.preventDefault();
    }
  };
  return (
    <>
      <div className="picture-line">
        {picking === null ? null : (
          <Hint>
            Touch the scan at: <strong>{named(picking)}</strong>. <ByKeys missed={missed} />
            <ByHand />
          </Hint>
        )}
      </div>
      <div className={`picture${picking === null ? "" : " picking"}`}>
        <div
          ref={host}
          className="canvas-host"
          // biome-ignore lint/a11y/noNoninteractiveTabindex: arrows and view keys act on it
          tabIndex={0}
          role="application"
          aria-label={`Picture of the scan in its own frame. Arrow keys turn it, plus and minus zoom, 0 fits it. ${picking === null ? "" : CROSS_HAIR_KEYS}`}
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
