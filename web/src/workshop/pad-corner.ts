/** Where the step pad stands over the picture: where it leaves what it moves in view. */

import { type Box, overlap } from "../viewer/boxes";

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

/**
 * The corner it stands in, if that is clear of the spot and of all else that stands over the
 * picture; else the first that is; else the one that is clear of the spot by most.
 */
export function freeCorner(
  pad: Size,
  picture: Frame,
  spot: Spot | null,
  now: Corner,
  taken: readonly Box[] = [],
): Corner {
  const clear = (corner: Corner): number =>
    spot === null ? CLEAR_PX : clearance(padBox(corner, pad, picture), picture, spot);
  const free = CORNERS.filter((corner) => {
    const box = padBox(corner, pad, picture);
    const inside = box.left >= 0 && box.top >= 0 && box.right <= picture.width;
    return (inside || corner === "under-right") && !taken.some((other) => overlap(box, other));
  });
  const does = (corner: Corner): boolean => free.includes(corner) && clear(corner) >= CLEAR_PX;
  if (does(now)) {
    return now;
  }
  return (
    free.find(does) ??
    (free.length === 0 ? CORNERS : free).reduce((best, corner) =>
      clear(corner) > clear(best) ? corner : best,
    )
  );
}

/** Where a pad in a corner stands, as the picture's own place measures it. */
export function padBox(corner: Corner, pad: Size, picture: Frame): Box {
  const { offsetWidth: wide, offsetHeight: high } = pad;
  const right = picture.width - EDGE_PX - wide;
  // Under a narrow picture it reaches out to the right, where the cross-section stands above it.
  const aside = corner.startsWith("under") ? Math.max(EDGE_PX, right) : right;
  const x = corner.endsWith("right") ? aside : EDGE_PX;
  const y = topOf(corner, pad, picture);
  return { left: x, top: y, right: x + wide, bottom: y + high };
}

function topOf(corner: Corner, pad: Size, { height, below }: Frame): number {
  if (corner.startsWith("top")) {
    return EDGE_PX;
  }
  return corner === "under-right"
    ? height + Math.min(EDGE_PX, below - EDGE_PX - pad.offsetHeight)
    : height - EDGE_PX - pad.offsetHeight;
}

/** How far a spot lies outside a pad; negative inside it. */
function clearance(box: Box, picture: Frame, spot: Spot): number {
  const [x, y] = [spot.x - picture.left, spot.y - picture.top];
  return Math.max(box.left - x, x - box.right, box.top - y, y - box.bottom);
}
