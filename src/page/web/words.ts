// Words that a yard file may hold, with their names for people.

import { say } from "./say";
import type { Choice } from "./types";

const named = (ids: string[], key: string) => (): Choice[] => ids.map((id) => ({ id, name: say(`${key}.${id}`) }));

export const SIDES = ["north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"];

export const sides = named(SIDES, "page.side");
export const strengths = named(["still", "light", "moderate", "strong"], "page.strength");
export const pressures = named(["light", "usual", "heavy"], "pressure");
export const structures = named(["house", "shed", "fence", "tree", "patio", "path", "pond", "other"], "page.structure");
export const edges = named(["tight", "usual", "gappy"], "page.edges");
