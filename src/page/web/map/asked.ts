// A long question that a room asks by itself, and what is known of it when people come back to the room.

import { useEffect, useState } from "preact/hooks";
import { Stopped } from "../client";
import type { Part, Store } from "../store";
import type { Files, Language, Options, QuestionKind } from "../types";

export type Stage = "runs" | "done" | "stopped" | "failed";

/** What is known, of the yard and the choice that it was asked for. */
export interface Found<S> {
  doc: Part;
  choice: string;
  language: Language;
  soFar: S | null;
  files: Files;
  stage: Stage;
  fault: string;
}

interface Summers { summers: number }

export class Asked<S extends Summers> {
  found: Found<S> | null = null;
  private stop = new AbortController();
  private readonly heard = new Set<() => void>();

  constructor(private readonly store: Store, private readonly question: QuestionKind) {}

  listen(hear: () => void): () => void {
    this.heard.add(hear);
    return () => this.heard.delete(hear);
  }

  private tell(found: Found<S> | null): void {
    this.found = found;
    for (const hear of [...this.heard]) hear();
  }

  /** Asks anew. What is known of the same yard and choice stays until more is known. */
  async ask(doc: Part, choice: string, asked: Part, options: Options): Promise<void> {
    this.stop.abort();
    const mine = (this.stop = new AbortController());
    const { name, language, inputs } = this.store.state;
    const same = this.found?.doc === doc && this.found.choice === choice;
    const begun: Found<S> = { doc, choice, language, soFar: same ? (this.found?.soFar ?? null) : null, files: {}, stage: "runs", fault: "" };
    const tell = (change: Partial<Found<S>>): void => {
      if (mine.signal.aborted) return;
      const before = this.found ?? begun;
      const fewer = (change.soFar?.summers ?? Infinity) < (before.soFar?.summers ?? 0);
      this.tell({ ...before, ...change, soFar: fewer ? before.soFar : (change.soFar ?? before.soFar) });
    };
    this.tell(begun);
    try {
      const { so_far, files } = await this.store.client.ask<S>(this.question, this.store.text(asked), `${name}.json`, {
        ...options, language, inputs, told: (soFar: S) => tell({ soFar }), signal: mine.signal,
      });
      if (mine.signal.aborted) return;
      this.tell({ ...begun, soFar: so_far ?? this.found?.soFar ?? null, files, stage: "done" });
    } catch (why) {
      if (!(why instanceof Stopped)) tell({ stage: "failed", fault: why instanceof Error ? why.message : String(why) });
    }
  }

  /** Stops between two steps; the last picture stays. */
  halt(): void {
    this.stop.abort();
    if (this.found?.stage === "runs") this.tell({ ...this.found, stage: "stopped" });
  }
}

const rooms = new WeakMap<Store, Map<QuestionKind, Asked<Summers>>>();

/** The one question of its kind of this page; it is stopped when the room is left. */
export function useAsked<S extends Summers>(store: Store, question: QuestionKind): Asked<S> {
  const all = rooms.get(store) ?? new Map<QuestionKind, Asked<Summers>>();
  rooms.set(store, all);
  const asked = (all.get(question) ?? new Asked<S>(store, question)) as Asked<S>;
  all.set(question, asked as unknown as Asked<Summers>);
  const [, show] = useState(0);
  useEffect(() => {
    const deaf = asked.listen(() => show((n) => n + 1));
    return () => {
      deaf();
      asked.halt();
    };
  }, [asked]);
  return asked;
}
