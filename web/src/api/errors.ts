/** What can go wrong between page and service, with the sentence to show. */

import type { Problem } from "./replies";

/** No reply came: the service is stopped or the machine sleeps. Nothing is known about the case. */
export class ServiceLost extends Error {
  override readonly name = "ServiceLost";

  constructor(cause: unknown) {
    super("Limbwright's service does not answer. Is it still running?", { cause });
  }
}

/** The service refused and said why (RFC 9457). */
export class ServiceRefused extends Error {
  override readonly name = "ServiceRefused";
  readonly status: number;
  readonly where: string | null;
  readonly problems: readonly Problem[];

  constructor(
    status: number,
    sentence: string,
    where: string | null,
    problems: readonly Problem[],
  ) {
    super(sentence);
    this.status = status;
    this.where = where;
    this.problems = problems;
  }

  static async from(reply: Response): Promise<ServiceRefused> {
    const body: unknown = await reply.json().catch(() => null);
    const told = isRecord(body) ? body : {};
    const sentence =
      text(told.detail) ??
      text(told.title) ??
      `The service refused this request (code ${reply.status.toString()}).`;
    return new ServiceRefused(reply.status, sentence, text(told.where), problemsOf(told.problems));
  }
}

/** The sentence to show for anything thrown. */
export function sentenceOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

function problemsOf(value: unknown): Problem[] {
  if (!Array.isArray(value)) {
    return [];
  }
  return value
    .filter(isRecord)
    .map((one) => ({ path: text(one.path) ?? "", text: text(one.text) ?? "" }));
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function text(value: unknown): string | null {
  return typeof value === "string" && value !== "" ? value : null;
}
