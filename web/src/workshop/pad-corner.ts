/** Where the step pad stands over the picture: where it leaves what it moves in view. */

/** The picture's corners and, should none of them do, under it over the findings. */
export const CORNERS = [
  "bottom-right",
  "bottom-left",
  "top-right",
  "top-left",
  "under-right",
] as const;
export type Corner = (typeof CORNERS)[number];

/** The marker and what lies around it stay in view by this much. */
const CLEAR_PX = 22;
const EDGE_PX = 6;

interface Size {
  readonly offsetWidth: number;
  readonly offsetHeight: number;
}

interface Frame {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  /** What of the window lies under it. */
  readonly below: number;
}

interface Spot {
  readonly x: number;
  readonly y: number;
}

/** The corner it stands in, if that is clear of the spot; else the one that is clear by most. */
export function freeCorner(pad: Size, picture: Frame, spot: Spot | null, now: Corner): Corner {
  if (spot === null || clearance(now, pad, picture, spot) >= CLEAR_PX) {
    return now;
  }
  const clear = (corner: Corner): number => clearance(corner, pad, picture, spot);
  return (
    CORNERS.find((corner) => clear(corner) >= CLEAR_PX) ??
    CORNERS.reduce((best, corner) => (clear(corner) > clear(best) ? corner : best))
  );
}

/** How far under the picture's upper edge a pad begins that stands under it, as far as it can. */
export function underTop(pad: Size, { height, below }: Pick<Frame, "height" | "below">): number {
  return height + Math.min(EDGE_PX, below - EDGE_PX - pad.offsetHeight);
}

/** How far a spot lies outside a pad that stands in a corner; negative inside it. */
function clearance(corner: Corner, pad: Size, picture: Frame, spot: Spot): number {
  const [x, y] = [spot.x - picture.left, spot.y - picture.top];
  const aside = corner.endsWith("right")
    ? picture.width - EDGE_PX - pad.offsetWidth - x
    : x - EDGE_PX - pad.offsetWidth;
  const over = corner.startsWith("top")
    ? y - EDGE_PX - pad.offsetHeight
    : (corner === "under-right" ? underTop(pad, picture) : bottomTop(pad, picture)) - y;
  return Math.max(aside, over);
}

function bottomTop(pad: Size, picture: Frame): number {
  return picture.height - EDGE_PX - pad.offsetHeight;
}
