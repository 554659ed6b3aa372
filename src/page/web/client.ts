// The engine in workers: short questions go to a clerk of their own, so that they are answered while summers run; long ones
// are shared by a pool. Who is free does the next units of a stretch of work, and gets what the others have done, so that
// the answer has the same bits for any number of workers.

import { say } from "./say";
import type { Choices, Files, Language, Options, QuestionKind, Reading, SoFar } from "./types";

interface Answer { ok: boolean; say?: string; state?: "wants" | "done"; so_far?: unknown; files?: Files; part?: Stretch }
/** A stretch of work that stands before a worker. */
interface Stretch { stretch: number; stage: string; of: number }
/** How far the present stretch of a question is. */
export interface Progress { done: number; of: number }
interface Reply { head: Answer & Record<string, unknown>; bytes: Uint8Array; took: number }

/** Something that went wrong, in words for people. */
export class Trouble extends Error {}

/** Thrown by a question that was stopped. */
export class Stopped extends Error {}

class Clerk {
  private readonly worker: Worker;
  private readonly waiting = new Map<number, { done: (reply: Reply) => void; failed: (why: Error) => void }>();
  private next = 0;
  private broken: Error | null = null;

  constructor(code: string, module: WebAssembly.Module) {
    this.worker = new Worker(code);
    this.worker.onmessage = ({ data }) => {
      if (data.broken) return this.broke(data.broken);
      this.waiting.get(data.id)?.done(data);
      this.waiting.delete(data.id);
    };
    this.worker.onerror = (event) => this.broke(event.message);
    this.worker.postMessage({ module });
  }

  get usable(): boolean { return this.broken === null; }

  /** The cause is for programmers; people hear what to do. */
  private broke(cause: string): void {
    console.warn(cause);
    this.fail(new Trouble(say("page.broken"), { cause }));
  }

  private fail(why: Error): void {
    this.broken = why;
    for (const { failed } of this.waiting.values()) failed(why);
    this.waiting.clear();
    this.worker.terminate();
  }

  end(): void { this.fail(new Stopped()); }

  async ask(head: object, bytes: Uint8Array = new Uint8Array()): Promise<Reply> {
    if (this.broken) throw this.broken;
    const id = this.next++;
    const reply = await new Promise<Reply>((done, failed) => {
      this.waiting.set(id, { done, failed });
      this.worker.postMessage({ id, head, bytes });
    });
    if (!reply.head.ok) throw new Trouble(reply.head.say ?? "");
    return reply;
  }
}

/** The shares of all workers one after the other, each with its length in front. */
function together(shares: Uint8Array[]): Uint8Array {
  const all = new Uint8Array(shares.reduce((sum, share) => sum + 4 + share.length, 0));
  const view = new DataView(all.buffer);
  let at = 0;
  for (const share of shares) {
    view.setUint32(at, share.length, true);
    all.set(share, at + 4);
    at += 4 + share.length;
  }
  return all;
}

/** Units that nobody has taken yet, and how many are not done, of the stretch that a question stands at. */
class Work {
  private stretch = 0;
  private left: number[] = [];
  private open = 0;
  private of = 0;
  private waiting: (() => void)[] = [];

  /** What a worker says that it stands at. */
  at({ stretch, of }: Stretch): void {
    if (stretch <= this.stretch) return;
    this.stretch = stretch;
    this.left = Array.from({ length: of }, (_, i) => i);
    this.open = this.of = of;
  }

  /** So many of the stretch for one worker, fewer towards its end; none where it is not the present one any more. */
  take(stretch: number, units: number, workers: number): number[] {
    const fair = Math.ceil(this.left.length / (2 * workers));
    return stretch === this.stretch ? this.left.splice(0, Math.max(1, Math.min(units, fair))) : [];
  }

  done(units: number): void {
    this.open -= units;
    if (this.open === 0) this.wake();
  }

  get progress(): Progress { return { done: this.of - this.open, of: this.of }; }

  /** Until everything is done, when nothing is left to take. */
  async last(): Promise<void> {
    if (this.open > 0 && this.left.length === 0) await new Promise<void>((go) => this.waiting.push(go));
  }

  wake(): void {
    for (const go of this.waiting.splice(0)) go();
  }
}

/** A step of a worker should last so long, milliseconds: no longer than it may take until a stop is heard. */
const STEP_MS = 150;

export interface Asked<S> { so_far: S; files: Files }

export interface Listening<S> {
  /** Hears what is known after a step that found more. */
  told?: (soFar: S) => void;
  /** Hears how far the present stretch of work is, after each step. */
  heard?: (part: Progress) => void;
  /** Stops the question between two steps, which throws `Stopped`. */
  signal?: AbortSignal;
  /** Weather files that the yard names. */
  inputs?: Files;
}

export class Client {
  private clerk: Clerk;
  /** Made when they are first needed, so that the page opens sooner. */
  private pool: Clerk[] = [];
  private next = 0;
  /** How long a unit of a stage took last, milliseconds. */
  private readonly pace: Record<string, number> = { draws: 5, plans: 60, sites: 150 };

  constructor(private readonly code: string, private readonly module: WebAssembly.Module, readonly workers: number) {
    this.clerk = this.fresh();
  }

  private fresh(): Clerk { return new Clerk(this.code, this.module); }

  /** A short question, answered at once. */
  async short<T>(head: object): Promise<T> {
    if (!this.clerk.usable) this.clerk = this.fresh();
    return (await this.clerk.ask(head)).head as T;
  }

  texts(language: Language): Promise<{ texts: Record<string, string>; version: string; languages: string[] }> {
    return this.short({ do: "texts", language });
  }

  choices(language: Language): Promise<Choices> { return this.short({ do: "choices", language }); }

  /** The text of a yard from a few answers, lengths in feet. */
  compose(answers: Record<string, string | number>, language: Language): Promise<{ text: string }> {
    return this.short({ do: "compose", ...answers, language });
  }

  /** `inputs` are weather files that the yard names. */
  read(text: string, name: string, language: Language, inputs: Files = {}): Promise<Reading> {
    return this.short({ do: "read", text, name, language, inputs });
  }

  /** A long question, shared by all workers. */
  async ask<S = SoFar>(
    question: QuestionKind,
    text: string,
    name: string,
    { told, heard, signal, inputs = {}, ...options }: Options & Listening<S> = {},
  ): Promise<Asked<S>> {
    if (this.pool.length === 0 || this.pool.some((clerk) => !clerk.usable)) {
      for (const clerk of this.pool) clerk.end();
      this.pool = Array.from({ length: this.workers }, () => this.fresh());
    }
    const pool = this.pool;
    const id = this.next++;
    const work = new Work();
    // What each worker does not have yet.
    const news: Uint8Array[][] = pool.map(() => []);
    let over = false;
    const one = async (clerk: Clerk, worker: number, found: (asked: Asked<S>) => void): Promise<void> => {
      let units: number[] = [];
      let { head, bytes, took } = await clerk.ask({ do: "begin", id, question, text, name, inputs, options, files: worker === 0 });
      while (!over) {
        const { part } = head;
        if (worker === 0 && head.so_far) told?.(head.so_far as S);
        if (!part) return worker === 0 ? found({ so_far: head.so_far as S, files: head.files ?? {} }) : undefined;
        if (units.length > 0) this.pace[part.stage] = took / units.length;
        if (bytes.length > 0) for (const inbox of news) inbox.push(bytes);
        work.done(units.length);
        work.at(part);
        heard?.(work.progress);
        await work.last();
        if (signal?.aborted) throw new Stopped();
        units = work.take(part.stretch, Math.round(STEP_MS / (this.pace[part.stage] ?? STEP_MS)), pool.length);
        ({ head, bytes, took } = await clerk.ask({ do: "advance", id, stretch: part.stretch, units }, together(news[worker]?.splice(0) ?? [])));
      }
    };
    try {
      return await new Promise<Asked<S>>((found, failed) => {
        pool.forEach((clerk, worker) => one(clerk, worker, found).catch(failed));
      });
    } finally {
      over = true;
      work.wake();
      for (const clerk of pool) void clerk.ask({ do: "drop", id }).catch(() => {});
    }
  }
}

/** Letters that are decoded at a time; whole groups of four. */
const PIECE = 1 << 18;

/** The module from the base64 of its gzip, without a request: each piece is compiled while the next is unpacked. */
export function unpacked(base64: string): Promise<WebAssembly.Module> {
  const letters = base64.trim();
  let from = 0;
  const pieces = new ReadableStream<Uint8Array<ArrayBuffer>>({
    pull(out) {
      if (from >= letters.length) return out.close();
      const text = atob(letters.slice(from, from + PIECE));
      const bytes = new Uint8Array(text.length);
      for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
      from += PIECE;
      out.enqueue(bytes);
    },
  });
  const headers = { "Content-Type": "application/wasm" };
  return WebAssembly.compileStreaming(new Response(pieces.pipeThrough(new DecompressionStream("gzip")), { headers }));
}

/** Workers to start: one a core, at most four; `?workers=N` behind the hash says otherwise. */
export function workersWanted(hash: string): number {
  const said = Number(new URLSearchParams(hash.split("?")[1] ?? "").get("workers"));
  return Number.isInteger(said) && said >= 1 && said <= 16 ? said : Math.min(navigator.hardwareConcurrency || 2, 4);
}
