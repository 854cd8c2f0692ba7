/** How a moment of the past reads in the list of cases. */

const DAY_MS = 86_400_000;

/** "today 14:05", "yesterday 9:30", or the day as the reader's language writes it. */
export function dayWords(moment: string, now: Date): string {
  const then = new Date(moment);
  const midnight = new Date(now.getFullYear(), now.getMonth(), now.getDate()).getTime();
  const time = then.toLocaleTimeString(undefined, { hour: "numeric", minute: "2-digit" });
  if (then.getTime() >= midnight) {
    return `today ${time}`;
  }
  if (then.getTime() >= midnight - DAY_MS) {
    return `yesterday ${time}`;
  }
  return then.toLocaleDateString(undefined, { year: "numeric", month: "short", day: "numeric" });
}
