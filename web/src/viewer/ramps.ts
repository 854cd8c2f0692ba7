/** Colour ramps whose lightness alone tells the order, so that no kind of colour sight is needed. */

import { scaleLinear } from "d3-scale";

export interface Ramp {
  readonly low: number;
  readonly high: number;
  /** Width of one band of equal colour; null for a ramp without bands. */
  readonly step: number | null;
  readonly stops: readonly string[];
}

/** From bare plaster through fired clay to graphite violet: darker is more. */
const MORE = ["#f1e9da", "#f0cf94", "#e4a45c", "#cb6d4b", "#9c3f55", "#662a5c", "#331c45"] as const;

/** Pressed in is blue, space added is ochre; untouched plaster lies between. */
const IN_OR_OUT = [
  "#14315c",
  "#2f6197",
  "#84abcb",
  "#efe8db",
  "#e2b36c",
  "#b06a1f",
  "#613408",
] as const;

const WANTED_BANDS = 7;
const TEXELS = 256;

/** Bands from 0 to a round number above the largest value. */
export function bandsTo(largest: number): Ramp {
  const scale = scaleLinear()
    .domain([0, Math.max(largest, 1e-6)])
    .nice(WANTED_BANDS);
  const ticks = scale.ticks(WANTED_BANDS);
  const step = (ticks[1] ?? 1) - (ticks[0] ?? 0);
  return { low: 0, high: scale.domain()[1] ?? 1, step, stops: MORE };
}

/** The same where the thin places are what matters: darker is less. */
export function thinBandsTo(largest: number): Ramp {
  return { ...bandsTo(largest), stops: MORE.toReversed() };
}

/** Bands of a quarter up to the limit and one beyond it. */
export function shareBands(): Ramp {
  return { low: 0, high: 1.25, step: 0.25, stops: MORE };
}

/** Both ways from nothing to a round number above the largest value. */
export function bothWays(largest: number): Ramp {
  const [, high = 1] = scaleLinear()
    .domain([0, Math.max(largest, 1)])
    .nice(4)
    .domain();
  return { low: -high, high, step: null, stops: IN_OR_OUT };
}

/** Values at which the legend names the ramp. */
export function legendTicks(ramp: Ramp): number[] {
  if (ramp.step === null) {
    return scaleLinear().domain([ramp.low, ramp.high]).ticks(5);
  }
  const count = Math.round((ramp.high - ramp.low) / ramp.step);
  return Array.from({ length: count + 1 }, (_, i) => ramp.low + i * (ramp.step ?? 0));
}

/** Colour of each band, or many slices of a ramp without bands, lowest first. */
export function bandColours(ramp: Ramp): string[] {
  const count = ramp.step === null ? 64 : Math.round((ramp.high - ramp.low) / ramp.step);
  return Array.from({ length: count }, (_, i) =>
    hex(sample(ramp, count < 2 ? 0 : i / (count - 1))),
  );
}

/** The ramp as a row of RGBA texels. */
export function texels(ramp: Ramp): Uint8Array {
  const colours = bandColours(ramp).map(parse);
  const row = new Uint8Array(TEXELS * 4);
  for (let i = 0; i < TEXELS; i += 1) {
    const band = Math.min(colours.length - 1, Math.floor((i / TEXELS) * colours.length));
    row.set([...(colours[band] ?? [0, 0, 0]), 255], i * 4);
  }
  return row;
}

type Rgb = readonly [number, number, number];

/** Colour at a share of the ramp, 0 to 1. */
function sample(ramp: Ramp, share: number): Rgb {
  const place = Math.min(1, Math.max(0, share)) * (ramp.stops.length - 1);
  const below = Math.min(ramp.stops.length - 2, Math.floor(place));
  const from = parse(ramp.stops[below] ?? "#000000");
  const to = parse(ramp.stops[below + 1] ?? "#000000");
  const mix = (i: 0 | 1 | 2): number => Math.round(from[i] + (to[i] - from[i]) * (place - below));
  return [mix(0), mix(1), mix(2)];
}

export function parse(colour: string): Rgb {
  const value = Number.parseInt(colour.slice(1), 16);
  return [(value >> 16) & 255, (value >> 8) & 255, value & 255];
}

function hex(colour: Rgb): string {
  return `#${colour.map((part) => part.toString(16).padStart(2, "0")).join("")}`;
}
