// The numbers that an answer rests on, and how one of them is held at a value in a yard file.

import { has, say } from "../say";
import { isPart, plans, type Part } from "../store";
import type { CheckedYard } from "../types";

/** A number as the engine tells it. */
export interface Sourced { path: string; value: number; unit: string; range: [number, number] | null; grade: string; grade_says: string; source: string }

/** What the engine tells of a yard beside what is drawn. */
export interface Known extends CheckedYard {
  numbers: Sourced[];
  sure: string[];
  crops: { name: string }[];
  pressure: { says: string; low: number; high: number };
  plans: (CheckedYard["plans"][number] & {
    traps: { lure: { id: string; name: string } | null; trap: { id: string; name: string } | null }[];
    cautions: string[];
  })[];
}

const FEET = 1 / 0.3048;
const MPH = 1 / 0.44704;

const digits = (value: number): string => {
  const size = Math.abs(value);
  return String(Number(value.toFixed(size >= 10 ? 0 : size >= 1 ? 1 : size >= 0.1 ? 2 : 4)));
};

/** A number with its unit, in the words of people. */
export function withUnit(value: number, unit: string): string {
  if (unit === "share") return say("number.unit.share", { n: digits(100 * value) });
  if (unit === "m") return say("number.unit.other", { n: digits(value * FEET), unit: "ft" });
  if (unit === "m/s") return say("number.unit.other", { n: digits(value * MPH), unit: "mph" });
  const keys: Record<string, string> = { deg: "degrees", "1/s": "a-second", "cm2/h": "sq-cm-an-hour", m2: "sq-m", d: "days" };
  const key = keys[unit];
  if (key) return say(`number.unit.${key}`, { n: digits(value) });
  return unit === "" || unit === "insects" || unit === "count" ? digits(value) : say("number.unit.other", { n: digits(value), unit });
}

/** Ids of lures, or of traps, in the order in which plans first use them. */
function used(yard: Known, what: "lure" | "trap"): { id: string; name: string }[] {
  const all = yard.plans.flatMap((plan) => plan.traps.map((trap) => trap[what])).filter((one) => one !== null);
  return all.filter((one, i) => all.findIndex((other) => other.id === one.id) === i);
}

/** Parts of a path such as lures[0].reach. */
function split(path: string): { kind: string; index: number; key: string } {
  const found = /^(\w+?)(?:\[(\d+)\])?\.(?:.*\.)?(\w+)$/.exec(path);
  return { kind: found?.[1] ?? "", index: Number(found?.[2] ?? 0), key: found?.[3] ?? path };
}

/** Whose number it is, in the words of the yard. */
export function owner(yard: Known, path: string): string {
  const { kind, index } = split(path);
  if (kind === "lures") return used(yard, "lure")[index]?.name ?? "";
  if (kind === "traps") return used(yard, "trap")[index]?.name ?? "";
  if (kind === "crops") return yard.crops[index]?.name ?? "";
  if (kind === "plans") return yard.plans[index]?.name ?? "";
  return yard.pest.plural;
}

export function name(path: string): string {
  const { key } = split(path);
  const said = `number.${key.replaceAll("_", "-")}`;
  return has(said) ? say(said) : key.replaceAll("_", " ");
}

/** A copy of the yard with a number of the pest, of a lure or of a kind of trap held at one value; null for other numbers. */
export function held(doc: Part, yard: Known, path: string, value: number): Part | null {
  const { kind, index, key } = split(path);
  if (kind === "pest") {
    const pest = isPart(doc["pest"]) ? doc["pest"] : { base: doc["pest"] };
    return { ...doc, pest: { ...pest, overrides: { ...(isPart(pest["overrides"]) ? pest["overrides"] : {}), [key]: value } } };
  }
  const [list, id] = kind === "lures" ? ["lure_values", used(yard, "lure")[index]?.id] : ["trap_values", used(yard, "trap")[index]?.id];
  if ((kind !== "lures" && kind !== "traps") || id === undefined || list === undefined) return null;
  const values = isPart(doc[list]) ? doc[list] : {};
  return { ...doc, [list]: { ...values, [id]: { ...(isPart(values[id]) ? values[id] : {}), [key]: value } } };
}

/** The numbers that can be held: those with a range, of the pest, the lures and the traps. */
export const open = (yard: Known): Sourced[] => yard.numbers.filter(({ path, range }) =>
  range !== null && range[0] < range[1] && /^(pest|lures|traps)\b/.test(path) && owner(yard, path) !== "");

/** Value at a share of the way through a range: by factors where it is wide. */
export function along([low, high]: [number, number], share: number): number {
  const value = low > 0 && high / low >= 10 ? low * (high / low) ** share : low + (high - low) * share;
  return Number(value.toPrecision(4));
}

/** The yard with doing nothing and one plan alone. */
export function onePlan(doc: Part, plan: number): Part {
  const chosen = plans(doc)[plan];
  return { ...doc, plans: [{ name: say("page.class.plan.nothing"), traps: [] }, ...(chosen ? [chosen] : [])] };
}
