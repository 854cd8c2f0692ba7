/** Where things stand over a picture, so that none of them covers another. */

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** Attribute of what stands over a picture and is covered by nothing else that does. */
export const KEEPS_CLEAR = "data-keeps-clear";

export function overlap(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

/** The area that two boxes share, px². */
export function shared(a: Box, b: Box): number {
  const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
  const over = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
  return Math.max(0, across) * Math.max(0, over);
}

/** The boxes of what is shown in a part of the page, as an element's own place measures them. */
export function boxesOf(within: ParentNode, selector: string, origin: Element): Box[] {
  const { left: x, top: y } = origin.getBoundingClientRect();
  return [...within.querySelectorAll(selector)]
    .map((element) => element.getBoundingClientRect())
    .filter(({ width, height }) => width > 0 && height > 0)
    .map(({ left, right, top, bottom }) => ({
      left: left - x,
      right: right - x,
      top: top - y,
      bottom: bottom - y,
    }));
}
