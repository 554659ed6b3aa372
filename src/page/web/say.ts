// Texts by key, as the program says them: the page has no sentence of its own.

export type Gaps = Record<string, string | number>;

let texts: Record<string, string> = {};

/** Takes the texts of a language for all that follows. */
export function speak(all: Record<string, string>): void { texts = all; }

export const has = (key: string): boolean => key in texts;

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** A text with its gaps filled in one pass; `{Name}` is filled like `{name}`, with a capital letter. */
export function say(key: string, gaps: Gaps = {}): string {
  return (texts[key] ?? key).replace(/\{([^}]*)\}/g, (whole, name: string) => {
    const value = gaps[name.toLowerCase()];
    if (value === undefined) return whole;
    return name === name.toLowerCase() ? String(value) : capital(String(value));
  });
}

/** The text for a count: that of `key.one` where it is one and there is such a text. */
export function counted(key: string, n: number, gaps: Gaps = {}): string {
  return say(n === 1 && has(`${key}.one`) ? `${key}.one` : key, { n, ...gaps });
}

/** A number as it is told: whole from ten on, one digit below. */
export function told(value: number): string {
  if (value === 0) return "0";
  const rounded = Math.abs(value) < 9.95 ? value.toFixed(1) : value.toFixed(0);
  return rounded === "-0.0" ? "0.0" : rounded;
}

/** A change as it is told, with its sign. */
export function signed(value: number): string {
  const text = told(Math.abs(value));
  return Number(text) === 0 ? "0" : `${value < 0 ? "−" : "+"}${text}`;
}
