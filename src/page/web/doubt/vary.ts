// What the engine's study of unknowns writes (vary.json), as far as it is shown.

export interface Level { value: number; without: number; with: number; change: number; error: number }
export interface Unknown { key: string; name: string; unit: string; low: number; high: number; log: boolean; grade: string; source: string }
export interface Sweep { unknown: Unknown; levels: Level[]; swing: number }
/** Where the word for the answer turns, going down (or up, when `above`). */
export interface Flip { sweep: number; at: number; above: boolean; to: string; sure: boolean }

export interface Varied {
  sentence: string;
  summers: number;
  tie_band: number;
  verdict: string;
  sweeps: Sweep[];
  flips: Flip[];
}
