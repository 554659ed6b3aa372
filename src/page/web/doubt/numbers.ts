// The numbers that an answer rests on, in the words of people.

import { say } from "../say";
import type { CheckedYard } from "../types";
import { FEET_PER_METER } from "../units";

/** A number as the engine tells it. */
export interface Sourced { path: string; name: string; value: number; unit: string; range: [number, number] | null; grade: string; grade_says: string; source: string }

/** What the engine tells of a yard beside what is drawn. */
export interface Known extends CheckedYard {
  numbers: Sourced[];
  sure: string[];
  crops: { name: string }[];
  pressure: { says: string; low: number; high: number };
  plans: (CheckedYard["plans"][number] & {
    traps: { lure: { id: string; name: string } | null; trap: { id: string; name: string } | null }[];
  })[];
}

const MPH = 1 / 0.44704;

const digits = (value: number): string => {
  const size = Math.abs(value);
  return String(Number(value.toFixed(size >= 10 ? 0 : size >= 1 ? 1 : size >= 0.1 ? 2 : 4)));
};

/** A number with its unit, in the words of people. */
export function withUnit(value: number, unit: string): string {
  if (unit === "share") return say("number.unit.share", { n: digits(100 * value) });
  if (unit === "m") return say("number.unit.other", { n: digits(value * FEET_PER_METER), unit: "ft" });
  if (unit === "m/s") return say("number.unit.other", { n: digits(value * MPH), unit: "mph" });
  const keys: Record<string, string> = { deg: "degrees", "1/s": "a-second", "cm2/h": "sq-cm-an-hour", m2: "sq-m", d: "days" };
  const key = keys[unit];
  if (key) return say(`number.unit.${key}`, { n: digits(value) });
  return ["", "1", "insects", "count"].includes(unit) ? digits(value) : say("number.unit.other", { n: digits(value), unit });
}

/** Ids of lures, or of traps, in the order in which plans first use them. */
function used(yard: Known, what: "lure" | "trap"): { id: string; name: string }[] {
  const all = yard.plans.flatMap((plan) => plan.traps.map((trap) => trap[what])).filter((one) => one !== null);
  return all.filter((one, i) => all.findIndex((other) => other.id === one.id) === i);
}

/** Parts of a path such as lures[0].reach. */
function split(path: string): { kind: string; index: number } {
  const found = /^(\w+?)(?:\[(\d+)\])?\./.exec(path);
  return { kind: found?.[1] ?? "", index: Number(found?.[2] ?? 0) };
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
