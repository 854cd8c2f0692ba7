/** Lines of one value on a surface: an area's edge, a level, a profile. Pure. */

/** One line: its points, x y z in turn, and whether its end joins its start. */
export interface IsoLine {
  readonly positions: Float32Array;
  readonly closed: boolean;
  /** A second quantity along the line, where one was given. */
  readonly carried: Float32Array;
}

interface Crossing {
  /** The mesh's edge that is crossed, as one number. */
  readonly edge: number;
  readonly at: readonly [number, number, number];
  readonly carried: number;
}

interface Surface {
  readonly positions: Float32Array;
  readonly faces: Uint32Array;
}

/**
 * Where a value per vertex equals a level, joined to lines. Values between corners are linear, as
 * they are drawn.
 */
export function isoLines(
  { positions, faces }: Surface,
  values: (vertex: number) => number,
  level: number,
  carried: Float32Array | null = null,
): IsoLine[] {
  const count = positions.length / 3;
  const over = new Float64Array(count);
  for (let i = 0; i < count; i += 1) {
    // A corner exactly at the level would be crossed by several edges at once.
    over[i] = values(i) - level || 1e-9;
  }
  const found = new Map<number, Crossing>();
  const neighbours = new Map<number, number[]>();
  const cross = (a: number, b: number): number => {
    const [low, high] = a < b ? [a, b] : [b, a];
    const edge = low * count + high;
    if (!found.has(edge)) {
      found.set(edge, crossing({ edge, low, high, over, positions, carried }));
    }
    return edge;
  };
  const join = (from: number, to: number): void => {
    neighbours.set(from, [...(neighbours.get(from) ?? []), to]);
    neighbours.set(to, [...(neighbours.get(to) ?? []), from]);
  };
  for (let f = 0; f + 2 < faces.length; f += 3) {
    const corners = [faces[f] ?? 0, faces[f + 1] ?? 0, faces[f + 2] ?? 0] as const;
    const edges = [0, 1, 2].flatMap((k) => {
      const [a, b] = [corners[k] ?? 0, corners[(k + 1) % 3] ?? 0];
      return (over[a] ?? 0) > 0 === (over[b] ?? 0) > 0 ? [] : [cross(a, b)];
    });
    const [from, to] = edges;
    if (from !== undefined && to !== undefined) {
      join(from, to);
    }
  }
  return chains(neighbours).map(({ edges, closed }) => lineOf(edges, closed, found));
}

interface CrossingParts {
  readonly edge: number;
  readonly low: number;
  readonly high: number;
  readonly over: Float64Array;
  readonly positions: Float32Array;
  readonly carried: Float32Array | null;
}

function crossing({ edge, low, high, over, positions, carried }: CrossingParts): Crossing {
  const [a, b] = [over[low] ?? 0, over[high] ?? 0];
  const share = a / (a - b);
  const between = (from: number, to: number): number => from + share * (to - from);
  const part = (k: number): number =>
    between(positions[low * 3 + k] ?? 0, positions[high * 3 + k] ?? 0);
  return {
    edge,
    at: [part(0), part(1), part(2)],
    carried: carried === null ? 0 : between(carried[low] ?? 0, carried[high] ?? 0),
  };
}

interface Chain {
  readonly edges: readonly number[];
  readonly closed: boolean;
}

/** Follows neighbours to their ends: open lines first, from an end; then those that close. */
function chains(neighbours: ReadonlyMap<number, readonly number[]>): Chain[] {
  const left = new Set(neighbours.keys());
  const walk = (start: number): number[] => {
    const edges: number[] = [];
    for (let at: number | undefined = start; at !== undefined; ) {
      edges.push(at);
      left.delete(at);
      at = neighbours.get(at)?.find((next) => left.has(next));
    }
    return edges;
  };
  const ends = [...neighbours].filter(([, next]) => next.length === 1).map(([edge]) => edge);
  const all: Chain[] = [];
  for (const start of [...ends, ...neighbours.keys()]) {
    if (left.has(start)) {
      all.push({ edges: walk(start), closed: neighbours.get(start)?.length !== 1 });
    }
  }
  return all;
}

function lineOf(
  edges: readonly number[],
  closed: boolean,
  found: ReadonlyMap<number, Crossing>,
): IsoLine {
  const points = edges.map((edge) => found.get(edge)).filter((one) => one !== undefined);
  return {
    positions: new Float32Array(points.flatMap(({ at }) => at)),
    carried: new Float32Array(points.map((one) => one.carried)),
    closed: closed && points.length > 2,
  };
}
