/**
 * Every place of the page has an address: #/, #/new, #/case/<id>/<stage>, with ?guide=<step> while
 * the guide is open, and, for revisions side by side, #/case/<id>/revisions,
 * .../revisions/<before>/<after> and .../revisions/confirmed.
 */

import { useSyncExternalStore } from "react";

export type Route =
  | { readonly kind: "start" }
  | { readonly kind: "new" }
  | {
      readonly kind: "case";
      readonly id: string;
      readonly stage: string | null;
      /** Step of the guide; null while it is not open. */
      readonly guide: string | null;
    }
  | { readonly kind: "revisions"; readonly id: string; readonly compared: Compared };

/** What is held side by side: two revisions, quick model and finite elements, or nothing yet. */
export type Compared = RevisionPair | "confirmed" | null;

export interface RevisionPair {
  readonly before: number;
  readonly after: number;
}

export const NEW_CASE = "#/new";
export const ALL_CASES = "#/";

/** What an address names; one that cannot be read leads to the list of cases. */
export function parseRoute(hash: string): Route {
  try {
    return readRoute(hash);
  } catch (error) {
    if (error instanceof URIError) {
      return { kind: "start" };
    }
    throw error;
  }
}

function readRoute(hash: string): Route {
  const revisions = /^#\/case\/([^/]+)\/revisions(?:\/(.*))?$/.exec(hash);
  if (revisions !== null) {
    const id = decodeURIComponent(revisions[1] ?? "");
    return { kind: "revisions", id, compared: parseCompared(revisions[2] ?? "") };
  }
  const found = /^#\/case\/([^/?]+)(?:\/([^/?]+))?\/?(?:\?guide=([^&]+))?$/.exec(hash);
  if (found === null) {
    return { kind: hash === NEW_CASE ? "new" : "start" };
  }
  return {
    kind: "case",
    id: decodeURIComponent(found[1] ?? ""),
    stage: found[2] === undefined ? null : decodeURIComponent(found[2]),
    guide: found[3] === undefined ? null : decodeURIComponent(found[3]),
  };
}

export function caseAddress(id: string, stage: string, guide: string | null = null): string {
  const place = `#/case/${encodeURIComponent(id)}/${encodeURIComponent(stage)}`;
  return guide === null ? place : `${place}?guide=${encodeURIComponent(guide)}`;
}

/** Addresses of the open case's stages; the guide stays open on the way. */
export function useStageAddress(id: string): (stage: string) => string {
  const route = useRoute();
  const guide = route.kind === "case" ? route.guide : null;
  return (stage) => caseAddress(id, stage, guide);
}

function parseCompared(text: string): Compared {
  const pair = /^(\d+)\/(\d+)\/?$/.exec(text);
  if (pair !== null) {
    return { before: Number(pair[1]), after: Number(pair[2]) };
  }
  return text === "confirmed" ? text : null;
}

export function revisionsAddress(id: string, compared: Compared = null): string {
  const head = `#/case/${encodeURIComponent(id)}/revisions`;
  if (compared === null) {
    return head;
  }
  return compared === "confirmed"
    ? `${head}/confirmed`
    : `${head}/${compared.before.toString()}/${compared.after.toString()}`;
}

/** The present address; changes with links, back and forward. */
export function useRoute(): Route {
  const hash = useSyncExternalStore(subscribe, () => location.hash);
  return parseRoute(hash);
}

/** Go somewhere, as by a link. */
export function goTo(hash: string): void {
  location.hash = hash;
}

/** Go somewhere without leaving the present place in the history. */
export function replaceAddress(hash: string): void {
  location.replace(hash);
}

function subscribe(listener: () => void): () => void {
  window.addEventListener("hashchange", listener);
  return () => window.removeEventListener("hashchange", listener);
}
