// Lengths as a yard file writes them, in feet and back.

export const FEET_PER_METER = 1 / 0.3048;

const UNITS: Record<string, number> = {
  m: FEET_PER_METER, metre: FEET_PER_METER, metres: FEET_PER_METER, meter: FEET_PER_METER, meters: FEET_PER_METER,
  ft: 1, foot: 1, feet: 1, "'": 1,
  in: 1 / 12, inch: 1 / 12, inches: 1 / 12, '"': 1 / 12,
  yd: 3, yard: 3, yards: 3,
  cm: FEET_PER_METER / 100, mm: FEET_PER_METER / 1000,
};

/** Feet of a written length: a number of meters, or parts such as "30 ft 6 in"; null when it is no length. */
export function feet(written: unknown): number | null {
  if (typeof written === "number") return Number.isFinite(written) ? written * FEET_PER_METER : null;
  if (typeof written !== "string") return null;
  const part = /\s*([+-]?(?:\d+\.?\d*|\.\d+))\s*([a-z]+|'|")/giy;
  let sum = 0;
  let end = 0;
  for (let found = part.exec(written); found; found = part.exec(written)) {
    const unit = UNITS[found[2] ?? ""];
    if (unit === undefined) return null;
    sum += Number(found[1]) * unit;
    end = part.lastIndex;
  }
  return end > 0 && written.slice(end).trim() === "" ? sum : null;
}

/** A length in feet as a yard file writes it. */
export const written = (ft: number): string => `${Math.round(ft * 100) / 100} ft`;

/** The unit that lengths are shown and typed in. */
export type Unit = "ft" | "pace";

/** Feet in one pace (common practice, no source). */
export const PACE_FT = 2.5;

export const shown = (ft: number, unit: Unit): number => Math.round((unit === "pace" ? ft / PACE_FT : ft) * 10) / 10;
export const meant = (typed: number, unit: Unit): number => (unit === "pace" ? typed * PACE_FT : typed);
