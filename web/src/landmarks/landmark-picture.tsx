import "./landmarks.css";
import type { Side } from "../api/document";
import { named } from "../words/words";
import { LimbDrawing } from "./limb-drawing";
import { DRAWING, endsOf, LANDMARK_PLACES, markAt, VIEW_WORDS } from "./places";

interface LandmarkPictureProps {
  readonly name: string;
  /** Null while it is not known: the drawing shows a right limb and says so. */
  readonly side: Side | null;
}

const { width: WIDTH, height: HEIGHT } = DRAWING;

/** Where a landmark is felt for: a drawing of the limb with one mark, and how fingers find it. */
export function LandmarkPicture({ name, side }: LandmarkPictureProps) {
  const place = LANDMARK_PLACES[name];
  if (place === undefined) {
    return null;
  }
  const drawn = side ?? "right";
  const [x, y] = markAt(place, drawn);
  const [left, right] = endsOf(place.view, drawn);
  const seen = `${drawn === "right" ? "Right" : "Left"} limb ${VIEW_WORDS[place.view]}`;
  return (
    <figure className="landmark-picture">
      <svg
        viewBox={`0 0 ${WIDTH.toString()} ${(HEIGHT + 12).toString()}`}
        role="img"
        aria-label={`${seen}, a mark at: ${named(name)}`}
      >
        <g
          transform={drawn === "right" ? undefined : `translate(${WIDTH.toString()} 0) scale(-1 1)`}
        >
          <LimbDrawing view={place.view} />
        </g>
        <g
          className="landmark-mark"
          data-mark={name}
          transform={`translate(${x.toString()} ${y.toString()})`}
        >
          <circle className="halo" r="8" />
          <circle className="ring" r="6" />
          <circle className="dot" r="2" />
        </g>
        <text x="4" y={HEIGHT + 8}>
          {left}
        </text>
        <text x={WIDTH - 4} y={HEIGHT + 8} textAnchor="end">
          {right}
        </text>
      </svg>
      <figcaption>
        <strong>{named(name)}</strong>
        <p>{place.how}</p>
        <p className="quiet">
          {seen}, schematic{side === null ? "; a left limb mirrors it" : ""}.
        </p>
      </figcaption>
    </figure>
  );
}
