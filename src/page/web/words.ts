// Words that a yard file may hold, with their names for people.

import { say } from "./say";
import type { Choice } from "./types";

const named = (ids: string[], key: string) => (): Choice[] => ids.map((id) => ({ id, name: say(`${key}.${id}`) }));

const SIDES = ["north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"];
const POINTS = ["n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw"];

/** Degrees clockwise from north of a side of a yard file; null when it is none. */
export function degrees(side: unknown): number | null {
  if (typeof side === "number") return side;
  const found = POINTS.indexOf(String(side ?? "").toLowerCase().replace(/[^a-z]/g, "").replace(/([nsew])(?:orth|outh|ast|est)/g, "$1"));
  return found < 0 ? null : found * 22.5;
}

/** The name of the side, of eight, that lies nearest to a bearing in degrees. */
export const sideAt = (bearing: number): string => say(`page.side.${SIDES[Math.round(bearing / 45) & 7]}`);
export const sides = named(SIDES, "page.side");
export const strengths = named(["still", "light", "moderate", "strong"], "page.strength");
export const pressures = named(["light", "usual", "heavy"], "pressure");
export const structures = named(["house", "shed", "fence", "tree", "patio", "path", "pond", "other"], "page.structure");
export const edges = named(["tight", "usual", "gappy"], "page.edges");
