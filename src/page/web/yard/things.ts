// What stands in a yard file, as shapes in feet: to draw, to move, to list.

import { say, type Gaps } from "../say";
import { at, isPart, put, type Part, type Path } from "../store";
import { feet, written } from "../units";
import { degrees } from "../words";

export type Kind = "crop" | "theirs" | "structure" | "keep-off" | "spot" | "neighbor" | "source" | "trap";

export type Shape =
  | { form: "plants"; plants: [number, number][]; canopy: number }
  | { form: "box"; x: number; y: number; width: number; depth: number }
  | { form: "disc"; x: number; y: number; radius: number }
  | { form: "point"; x: number; y: number };

export interface Thing {
  id: string;
  path: Path;
  kind: Kind;
  part: Part;
  name: string;
  shape: Shape | null;
}

const SOURCE_FT = 10;
const MOST_DRAWN = 2000;

/** A place of a yard file in feet. */
export function place(value: unknown): [number, number] | null {
  if (!Array.isArray(value)) return null;
  const [x, y] = [feet(value[0]), feet(value[1])];
  return x === null || y === null ? null : [x, y];
}

export const placed = (x: number, y: number): [string, string] => [written(x), written(y)];

const whole = (value: unknown): number | null => (typeof value === "number" && Number.isInteger(value) && value > 0 ? Math.min(value, MOST_DRAWN) : null);

function steps(length: number, count: unknown, spacing: unknown, usual: number): number {
  return whole(count) ?? Math.min(Math.floor(length / (feet(spacing) || usual) + 1e-9) + 1, MOST_DRAWN);
}

/** Where the plants of a bed stand; `usual` is the distance between plants of this kind. */
function plants(crop: Part, usual: number): [number, number][] | null {
  const single = place(crop["single"]);
  if (single) return [single];
  const { row, block, ring } = crop;
  if (isPart(row)) {
    const [from, to] = [place(row["from"]), place(row["to"])];
    if (!from || !to) return null;
    const n = steps(Math.sqrt((to[0] - from[0]) ** 2 + (to[1] - from[1]) ** 2), row["count"], row["spacing"], usual);
    return Array.from({ length: n }, (_, i) => {
      const share = n > 1 ? i / (n - 1) : 0.5;
      return [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
    });
  }
  if (isPart(block)) {
    const [from, to] = [place(block["from"]), place(block["to"])];
    if (!from || !to) return null;
    const [x, y] = [Math.min(from[0], to[0]), Math.min(from[1], to[1])];
    const [width, depth] = [Math.abs(to[0] - from[0]), Math.abs(to[1] - from[1])];
    const count = Array.isArray(block["count"]) ? block["count"] : [];
    const gap = feet(block["spacing"]) || usual;
    const across = whole(count[0]) ?? Math.max(1, Math.floor(width / gap));
    const up = whole(count[1]) ?? Math.max(1, Math.floor(depth / gap));
    if (across * up > MOST_DRAWN) return null;
    return Array.from({ length: across * up }, (_, i) => [
      x + ((i % across) + 0.5) * (width / across), y + (Math.floor(i / across) + 0.5) * (depth / up),
    ]);
  }
  if (isPart(ring)) {
    const [center, radius] = [place(ring["centre"]), feet(ring["radius"])];
    if (!center || radius === null) return null;
    const n = whole(ring["count"]) ?? Math.max(1, Math.floor((2 * Math.PI * radius) / (feet(ring["spacing"]) || usual)));
    return Array.from({ length: Math.min(n, MOST_DRAWN) }, (_, i) => {
      const turn = (2 * Math.PI * i) / n;
      return [center[0] + radius * Math.sin(turn), center[1] + radius * Math.cos(turn)];
    });
  }
  return null;
}

function region(part: Part): Shape | null {
  const [from, to, center] = [place(part["from"]), place(part["to"]), place(part["at"])];
  if (from && to) {
    return {
      form: "box", x: Math.min(from[0], to[0]), y: Math.min(from[1], to[1]),
      width: Math.abs(to[0] - from[0]), depth: Math.abs(to[1] - from[1]),
    };
  }
  const radius = feet(part["radius"]);
  return center && radius !== null ? { form: "disc", x: center[0], y: center[1], radius } : null;
}

function point(value: unknown): Shape | null {
  const spot = place(value);
  return spot && { form: "point", x: spot[0], y: spot[1] };
}

/** Everything of the yard but its traps. `usual` knows plants of a kind, in feet. */
export function things(doc: Part, usual: (kind: string) => { spacing: number; radius: number }): Thing[] {
  const all: Thing[] = [];
  const each = (path: Path, kind: Kind, shape: (part: Part) => Shape | null): void => {
    const list = at(doc, path);
    if (!Array.isArray(list)) return;
    list.forEach((part: unknown, i) => {
      if (!isPart(part)) return;
      const own = [...path, i];
      all.push({ id: own.join("."), path: own, kind, part, name: String(part["name"] ?? ""), shape: shape(part) });
      if (kind === "neighbor") each([...own, "crops"], "theirs", bed);
    });
  };
  const bed = (part: Part): Shape | null => {
    const { spacing, radius } = usual(String(part["kind"]));
    const found = plants(part, spacing);
    return found && { form: "plants", plants: found, canopy: feet(part["canopy"]) ?? radius };
  };
  each(["neighbours"], "neighbor", region);
  each(["structures"], "structure", region);
  each(["no_hang"], "keep-off", region);
  each(["crops"], "crop", bed);
  each(["spots"], "spot", (part) => point(part["at"]));
  each(["surroundings", "sources"], "source", (part) => {
    const spot = place(part["at"]);
    return spot && { form: "disc", x: spot[0], y: spot[1], radius: feet(part["radius"]) ?? SOURCE_FT };
  });
  return all;
}

/** The traps of a plan. */
export function traps(doc: Part, plan: number): Thing[] {
  const path: Path = ["plans", plan, "traps"];
  const list = at(doc, path);
  if (!Array.isArray(list)) return [];
  return list.flatMap((part: unknown, i): Thing[] => {
    if (!isPart(part)) return [];
    const own = [...path, i];
    return [{ id: own.join("."), path: own, kind: "trap", part, name: String(part["name"] ?? ""), shape: point(part["at"]) }];
  });
}

/** Paths, inside a thing, of every place that it is drawn by. */
export function corners(part: Part): { path: Path; x: number; y: number }[] {
  const found: { path: Path; x: number; y: number }[] = [];
  const look = (path: Path): void => {
    const spot = place(at(part, path));
    if (spot) found.push({ path, x: spot[0], y: spot[1] });
  };
  for (const key of ["at", "from", "to", "single"]) look([key]);
  for (const shape of ["row", "block"]) for (const key of ["from", "to"]) look([shape, key]);
  look(["ring", "centre"]);
  return found;
}

/** Moves a thing, with all that belongs to it, by feet. */
export function shift(doc: Part, path: Path, east: number, north: number): void {
  const part = at(doc, path);
  if (!isPart(part)) return;
  for (const corner of corners(part)) put(part, corner.path, placed(corner.x + east, corner.y + north));
  const theirs = part["crops"];
  if (Array.isArray(theirs)) theirs.forEach((_, i) => shift(doc, [...path, "crops", i], east, north));
}

/** The middle of a shape. */
export function middle(shape: Shape): [number, number] {
  if (shape.form === "box") return [shape.x + shape.width / 2, shape.y + shape.depth / 2];
  if (shape.form !== "plants") return [shape.x, shape.y];
  const n = Math.max(shape.plants.length, 1);
  return [shape.plants.reduce((sum, p) => sum + p[0], 0) / n, shape.plants.reduce((sum, p) => sum + p[1], 0) / n];
}

export interface Box { x0: number; y0: number; x1: number; y1: number }

/** Width and depth of the yard in feet; a usual yard where the file does not say. */
export function size(doc: Part): [number, number] {
  const said = (side: string, usual: number): number => {
    const ft = feet(at(doc, ["yard", side]));
    return ft !== null && ft > 0 ? ft : usual;
  };
  return [said("width", 60), said("depth", 40)];
}

/** Degrees clockwise from north of the side at the top of the drawing. Nothing of the yard is turned; what points to a side is. */
export const upward = (doc: Part): number => degrees(at(doc, ["yard", "up"])) ?? 0;

/** Words for sides of the yard: by the compass, or by the drawing's own edges where it is turned. */
export const edged = (doc: Part, key: string, gaps: Gaps = {}): string => say(upward(doc) % 360 === 0 ? key : `${key}@turned`, gaps);

/** A place, counted from the yard's lower left corner. */
export function spotted(doc: Part, x: number, y: number): string {
  const part = (key: string, ft: number): string => edged(doc, `page.draw.${key}`, { n: Math.abs(Math.round(ft)) });
  const first = part(x < 0 ? "west" : "east", x);
  const then = part(y < 0 ? "southward" : "northward", y);
  return say("page.draw.spot", { first, then });
}

/** Edges of the drawing, with degrees clockwise from its top. */
export const TURNS = { top: 0, bottom: 180, right: 90, left: 270 };
export type Edge = keyof typeof TURNS;

/** How far a neighbor's plot reaches from the fence, as it is set down. */
const PLOT_FT = 40;

/** A neighbor's plot along an edge of the yard. */
export function nextTo(width: number, depth: number, side: Edge): Box {
  if (side === "right") return { x0: width, y0: 0, x1: width + PLOT_FT, y1: depth };
  if (side === "left") return { x0: -PLOT_FT, y0: 0, x1: 0, y1: depth };
  return side === "top" ? { x0: 0, y0: depth, x1: width, y1: depth + PLOT_FT } : { x0: 0, y0: -PLOT_FT, x1: width, y1: 0 };
}

/** The edge of the yard that a plot lies beyond; null where it lies over the yard. */
export function edgeOf(doc: Part, { x0, y0, x1, y1 }: Box): Edge | null {
  const [width, depth] = size(doc);
  return x0 >= width ? "right" : x1 <= 0 ? "left" : y0 >= depth ? "top" : y1 <= 0 ? "bottom" : null;
}

/** The rectangle that a shape fills. */
export function extent(shape: Shape): Box {
  if (shape.form === "box") return { x0: shape.x, y0: shape.y, x1: shape.x + shape.width, y1: shape.y + shape.depth };
  const spots: [number, number][] = shape.form === "plants" ? shape.plants : [[shape.x, shape.y]];
  const r = shape.form === "plants" ? shape.canopy : shape.form === "disc" ? shape.radius : 1;
  const [xs, ys] = [spots.map((spot) => spot[0]), spots.map((spot) => spot[1])];
  return { x0: Math.min(...xs) - r, y0: Math.min(...ys) - r, x1: Math.max(...xs) + r, y1: Math.max(...ys) + r };
}

/** What a picture of the yard must show: the yard and what lies near it. */
export function bounds(doc: Part, all: Thing[]): Box {
  const [width, depth] = size(doc);
  const far = 5 * Math.max(width, depth);
  const box = { x0: 0, y0: 0, x1: width, y1: depth };
  const grow = (x: number, y: number): void => {
    if (x < -far || y < -far || x > width + far || y > depth + far) return;
    box.x0 = Math.min(box.x0, x);
    box.y0 = Math.min(box.y0, y);
    box.x1 = Math.max(box.x1, x);
    box.y1 = Math.max(box.y1, y);
  };
  for (const { shape } of all) {
    if (!shape) continue;
    const { x0, y0, x1, y1 } = extent(shape);
    grow(x0, y0);
    grow(x1, y1);
  }
  return box;
}

/** A name that no other of the list has. */
export function fresh(name: string, taken: Part[]): string {
  const names = new Set(taken.map((part) => part["name"]));
  if (!names.has(name)) return name;
  let n = 2;
  while (names.has(`${name} ${n}`)) n++;
  return `${name} ${n}`;
}
