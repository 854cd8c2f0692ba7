import type { Handling, Steps } from "./handling";

export const WAYS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

export interface KeyPress {
  readonly key: string;
  readonly shiftKey: boolean;
  readonly altKey: boolean;
}

/**
 * What keys with Shift do to what is selected in the picture: arrows move it, with Alt they
 * stretch an area, Page Up and Page Down deepen and flatten it. True when the key meant something.
 */
export function handlePictureKey(
  press: KeyPress,
  handling: Handling | null,
  steps: Steps,
): boolean {
  if (handling === null || !press.shiftKey) {
    return false;
  }
  const deeper = { PageUp: 1, PageDown: -1 } as const;
  const depthWay = deeper[press.key as keyof typeof deeper];
  if (depthWay !== undefined && handling.depth !== null) {
    handling.depth.by(depthWay);
    return true;
  }
  const way = WAYS[press.key];
  if (way === undefined) {
    return false;
  }
  return press.altKey && handling.length !== null
    ? stretch(handling, way)
    : move(handling, way, steps.move[0]);
}

function stretch({ length, width }: Handling, [across, over]: readonly [number, number]): boolean {
  const adjuster = over === 0 ? width : length;
  adjuster?.by(across + over > 0 ? 1 : -1);
  return adjuster !== null;
}

function move(handling: Handling, way: readonly [number, number], step: number): boolean {
  if (way[0] !== 0 && !handling.aside) {
    return false;
  }
  handling.move(step * way[0], step * way[1]);
  return true;
}
