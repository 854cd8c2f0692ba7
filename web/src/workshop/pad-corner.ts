/** In which corner of the picture the step pad stands: one that leaves what it moves in view. */

export const CORNERS = ["bottom-right", "bottom-left", "top-right", "top-left"] as const;
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

/** How far a spot lies outside a pad that stands in a corner; negative inside it. */
function clearance(corner: Corner, pad: Size, picture: Frame, spot: Spot): number {
  const [x, y] = [spot.x - picture.left, spot.y - picture.top];
  const aside = corner.endsWith("right")
    ? picture.width - EDGE_PX - pad.offsetWidth - x
    : x - EDGE_PX - pad.offsetWidth;
  const over = corner.startsWith("bottom")
    ? picture.height - EDGE_PX - pad.offsetHeight - y
    : y - EDGE_PX - pad.offsetHeight;
  return Math.max(aside, over);
}
