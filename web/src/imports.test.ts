import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, normalize } from "node:path";
import { describe, expect, it } from "vitest";

/** The rooms of the page: each may use what stands before it, a stage no other stage. */
const ROOMS = [
  "browser",
  "units",
  "api",
  "words",
  "scheme",
  "state",
  "viewer",
  "case",
  "landmarks",
  "components",
  "workshop",
  "stages",
  "revisions",
  "guide",
  "bench",
  "start",
  "",
];
const SOURCE = "src";

const files = readdirSync(SOURCE, { recursive: true, encoding: "utf8" })
  .map((file) => file.replaceAll("\\", "/"))
  .filter((file) => /\.tsx?$/.test(file) && !/\.(test|d)\.tsx?$/.test(file));

const roomOf = (file: string): string => (file.includes("/") ? (file.split("/")[0] ?? "") : "");
const stageOf = (file: string): string | null =>
  roomOf(file) === "stages" ? (file.split("/")[1] ?? "") : null;

/** What a file imports of the page's own, from the root of the source. */
function importsOf(file: string): string[] {
  const text = readFileSync(join(SOURCE, file), "utf8");
  return [...text.matchAll(/(?:from|import)\s*\(?\s*"(\.[^"]+)"/g)].map(([, place]) =>
    normalize(join(dirname(file), place ?? "")).replaceAll("\\", "/"),
  );
}

describe("imports of the page", () => {
  it("find every file in a room that has its place", () => {
    expect(files.length).toBeGreaterThan(100);
    expect([...new Set(files.map(roomOf))].filter((room) => !ROOMS.includes(room))).toEqual([]);
  });

  it("never point to a later room, nor from one stage to another", () => {
    const wrong = files.flatMap((file) =>
      importsOf(file)
        .filter((other) => !other.endsWith(".css"))
        .filter((other) => {
          const later = ROOMS.indexOf(roomOf(other)) > ROOMS.indexOf(roomOf(file));
          const across = stageOf(file) !== null && stageOf(other) !== null;
          return later || (across && stageOf(file) !== stageOf(other));
        })
        .map((other) => `${file} uses ${other}`),
    );
    expect(wrong).toEqual([]);
  });
});
