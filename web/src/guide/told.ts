/** What the evaluation says to a step, in one sentence; null while it says nothing yet. */

import type { AreaPressure } from "../api/results";
import type { Units } from "../units/units-context";
import { BASIS_WORDS, counted, labelHead, levelWords, named } from "../words/words";
import { changedArea, currentResults, type GuideFacts, shownCase, weakestCheck } from "./facts";

type Text = Pick<Units, "text" | "said">;

export function loads(facts: GuideFacts, { text }: Text): string | null {
  const results = currentResults(facts, "assess");
  if (results === null) {
    return null;
  }
  const basis = BASIS_WORDS[results.speed_basis].toLowerCase();
  const level = results.load_level ?? "not established";
  return `Walking speed ${text(results.speed_m_s, "m/s")} (${basis}); load level by mass ${level}.`;
}

export function guesses(facts: GuideFacts): string | null {
  const limb = currentResults(facts, "capture");
  if (limb === null) {
    return null;
  }
  const all = Object.values(limb.landmarks);
  const guessed = all.filter(({ basis }) => basis === "guessed").length;
  return `${guessed.toString()} of ${counted(all.length, "landmark")} still guessed.`;
}

export function cover(facts: GuideFacts, { text }: Text): string | null {
  const limb = currentResults(facts, "capture");
  const felt = facts.now.capture.palpated.at(-1)?.landmark ?? null;
  const place = felt === null ? undefined : limb?.bones.places[felt];
  if (felt === null || place === undefined) {
    return null;
  }
  const spread = text(place.sd_mm, "mm");
  return `${named(felt)}: ${text(place.cover_mm, "mm")} over bone, uncertain by ${spread} (1 SD).`;
}

export function level({ view }: GuideFacts, { text }: Text): string | null {
  return view.sectionMm === null
    ? null
    : `Cut ${levelWords(view.sectionMm, (value, unit) => text(value, unit, 0))}.`;
}

export function highest(facts: GuideFacts, units: Text): string | null {
  const shown = shownCase(facts);
  const worst = shown?.areas.reduce<AreaPressure | null>(
    (most, area) => (most === null || area.peak_kpa > most.peak_kpa ? area : most),
    null,
  );
  return worst ? `Highest: ${pressure(facts, worst, units)}` : null;
}

export function area(facts: GuideFacts, units: Text): string | null {
  const name = changedArea(facts);
  const found = shownCase(facts)?.areas.find((one) => one.area === name);
  return found === undefined ? null : pressure(facts, found, units);
}

/** A pressure never stands without its load, its limit and how it was computed. */
function pressure(facts: GuideFacts, one: AreaPressure, { text }: Text): string {
  const label = currentResults(facts, "prove")?.interface.label ?? "";
  const values = `mean ${text(one.mean_kpa, "kPa", 0)}, peak ${text(one.peak_kpa, "kPa", 0)}`;
  const under = named(facts.view.loadCase).toLowerCase();
  const limit = limitWords(one, text);
  return `${named(one.area)} in ${under}: ${values} (${limit}; ${labelHead(label).toLowerCase()}).`;
}

function limitWords(
  { peak_kpa: peak, limit_kpa: limit }: AreaPressure,
  text: Text["text"],
): string {
  if (limit === null) {
    return "no limit established";
  }
  return `${peak > limit ? "over its limit of" : "limit"} ${text(limit, "kPa", 0)}`;
}

export function depths(facts: GuideFacts, { text }: Text): string | null {
  const name = changedArea(facts);
  const depth = facts.now.shape.areas.find((one) => one.name === name)?.depth_mm;
  return name === null || depth === undefined
    ? "All depths are as they were when the case began."
    : `${named(name)} still differs from how it began: ${text(Math.abs(depth), "mm")}.`;
}

export function seat(facts: GuideFacts, { text }: Text): string | null {
  const taken = currentResults(facts, "couple")?.axes.find((one) => one.taken);
  if (taken === undefined) {
    return null;
  }
  const tilt = text(taken.tilt_deg, "deg");
  const offset = text(taken.offset_mm, "mm");
  const adapter = text(taken.adapter_deg, "deg");
  return `Unloaded, the target is tilted by ${tilt} and off by ${offset}; an adapter turns by ${adapter}.`;
}

export function screws(facts: GuideFacts, { text, said }: Text): string | null {
  const answer = currentResults(facts, "align")?.adjustment;
  if (answer === undefined) {
    return null;
  }
  const outward = text(answer.reached_outward_mm, "mm");
  const forward = text(answer.reached_forward_mm, "mm");
  const steps = counted(answer.steps.length, "step");
  return answer.feasible
    ? `Reached in ${steps} at the adapters: ${outward} outward, ${forward} forward.`
    : said(answer.text);
}

export function margin(facts: GuideFacts): string | null {
  const check = weakestCheck(facts);
  if (check === null) {
    return null;
  }
  const of = `${check.margin.toFixed(2)} of ${check.required_margin.toFixed(2)} needed`;
  const basis = BASIS_WORDS[check.capacity_basis].toLowerCase();
  return `Smallest margin: ${named(check.name).toLowerCase()}, ${of} (capacity: ${basis}).`;
}

export function files({ files: made }: GuideFacts): string | null {
  return made === null ? null : `${counted(made, "file")} made; each downloads from the panel.`;
}

export function fitting({ now }: GuideFacts): string | null {
  const worn = now.fit.fittings.at(-1)?.revision;
  if (worn === undefined) {
    return null;
  }
  return worn === null
    ? "What was worn is not stated yet: take the newest that was made."
    : `Logged for revision ${worn.toString()}.`;
}

export function causes(facts: GuideFacts): string | null {
  const last = facts.now.fit.fittings.length - 1;
  const answer = currentResults(facts, "fit")?.answers.find((one) => one.fitting === last);
  if (answer === undefined) {
    return null;
  }
  const fits = answer.causes.filter(({ verdict }) => verdict === "fits").length;
  return `${counted(answer.causes.length, "usual cause")} for ${answer.place}; the picture speaks for ${fits.toString()}.`;
}
