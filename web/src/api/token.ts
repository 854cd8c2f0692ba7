/**
 * The key that this start of the service gave out.
 *
 * It arrives in the address's fragment, which never leaves the browser, is kept for this tab
 * alone and taken out of the address at once.
 */

import { keepInTab, keptInTab } from "../browser/tab-storage";

const KEPT_AS = "limbwright.token";

/** Read the key from the address, if it stands there, and clean the address. */
export function takeToken(): string | null {
  const { given, rest } = splitFragment(location.hash);
  if (given !== null) {
    keepInTab(KEPT_AS, given);
    history.replaceState(null, "", `${location.pathname}${location.search}${rest}`);
  }
  // A tab that may keep nothing has it until the page is loaded anew.
  const kept = given ?? keptInTab(KEPT_AS);
  return typeof kept === "string" ? kept : null;
}

/** The key and what remains of a fragment: "#token=k&/case/a/shape" gives k and "#/case/a/shape". */
export function splitFragment(hash: string): { given: string | null; rest: string } {
  const found = /^#token=([^&]+)&?(.*)$/.exec(hash);
  if (found === null) {
    return { given: null, rest: hash };
  }
  return { given: decodeURIComponent(found[1] ?? ""), rest: found[2] ? `#${found[2]}` : "" };
}
