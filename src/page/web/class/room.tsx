// The room of a class: a lesson, its locked guess, twenty summers, and what all groups found together.

import type { JSX } from "preact";
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { NumberField, Tick } from "../fields";
import { Dots } from "../plans/dots";
import { say, told } from "../say";
import { useStore, type Store } from "../store";
import type { SoFar } from "../types";
import { Board } from "./board";
import { Groups } from "./groups";
import { LEVELS, yardOf, type Level } from "./levels";
import { countOf, lesson, MOST_GROUPS, nothing, speakIn, sum, summersOf, WORDS, type Found, type Three } from "./lesson";
import { Notes } from "./notes";
import { Paper } from "./paper";

const MOST_HANDS = 60;

export function Room({ store }: { store: Store }): JSX.Element {
  const state = useStore(store);
  const [, draw] = useState(0);
  const room = useRef<HTMLDivElement>(null);
  const stop = useRef(new AbortController());
  speakIn(state.language);
  const { level } = lesson;
  const found = lesson.found[level];
  const doc = useMemo(() => yardOf(level, state), [level, state.choices, state.language]);
  const set = (change: Partial<Found>, of: Level = level): void => {
    lesson.found[of] = { ...lesson.found[of], ...change };
    draw((n) => n + 1);
  };
  const choose = (next: Level): void => {
    stop.current.abort();
    set({ running: false });
    lesson.level = next;
    draw((n) => n + 1);
    store.set({ spoken: say(`page.class.ask.${next}`) });
  };
  useEffect(() => {
    let here = true;
    void store.client.read(store.text(doc), "class.json", state.language).then(({ yard, faults }) => {
      if (here) set({ yard, fault: faults[0]?.say ?? "" }, level);
    });
    return () => { here = false; };
  }, [doc]);
  useEffect(() => {
    const key = (event: KeyboardEvent): void => {
      const target = event.target as HTMLElement;
      if (!lesson.keys || event.ctrlKey || event.altKey || event.metaKey || target.matches("input:not([type=checkbox]), select, textarea")) return;
      const next = LEVELS[Number(event.key) - 1];
      if (next) choose(next);
    };
    addEventListener("keydown", key);
    return () => removeEventListener("keydown", key);
  });
  useEffect(() => () => {
    stop.current.abort();
    lesson.found[lesson.level] = { ...lesson.found[lesson.level], running: false };
  }, []);

  const run = async (group: number, told: (soFar: SoFar) => void): Promise<void> => {
    const mine = (stop.current = new AbortController());
    set({ running: true, fault: "" }, level);
    try {
      const soFar = await summersOf(store, doc, group, mine.signal);
      if (soFar) told(soFar);
    } catch (why) {
      set({ fault: why instanceof Error ? why.message : String(why) }, level);
    }
    if (!mine.signal.aborted) set({ running: false }, level);
  };
  const show = (): Promise<void> => run(found.group, (soFar) => {
    const groups = [...lesson.found[level].groups];
    while (groups.length < found.group) groups.push(null);
    groups[found.group - 1] = countOf(soFar);
    set({ soFar, groups }, level);
    store.set({ spoken: soFar.plans[1]?.says ?? "" });
  });
  return (
    <div class="class-room" ref={room}>
      <div class="bar" role="group" aria-label={say("page.class.lessons")}>
        {LEVELS.map((id, i) => (
          <button type="button" key={id} aria-pressed={id === level} onClick={() => choose(id)}>{i + 1} {say(`page.class.level.${id}`)}</button>
        ))}
        {document.fullscreenEnabled ? (
          <button type="button" class="full" onClick={() => void (document.fullscreenElement ? document.exitFullscreen() : room.current?.requestFullscreen())}>
            {say("page.class.full")}
          </button>
        ) : null}
      </div>
      <h3>{say(`page.class.ask.${level}`)}</h3>
      <div class="side-by-side">
        <div>
          <p>{say(`page.class.story.${level}`)}</p>
          <Board doc={doc} state={state} yard={found.yard} soFar={found.soFar} />
          {found.soFar ? <p>{say("page.class.key")}</p> : null}
        </div>
        <div>
          <Guess found={found} set={set} />
          {found.locked ? (
            <section aria-label={say("page.class.run.title")}>
              <h4>{say("page.class.run.title")}</h4>
              <div class="bar low">
                <NumberField label={say("page.class.run.group")} value={found.group} min={1} max={MOST_GROUPS} onChange={(n) => set({ group: Math.round(n), soFar: null })} />
                <button type="button" class="main" disabled={found.running} onClick={() => void show()}>{say(found.running ? "page.class.run.wait" : "page.class.run.go")}</button>
              </div>
              {found.fault ? <p class="refused" role="alert">{found.fault}</p> : null}
              {found.soFar ? <Result found={found} /> : null}
            </section>
          ) : null}
        </div>
      </div>
      {found.locked ? (
        <Groups found={found} set={set} run={(group, told) => void run(group, (soFar) => told(countOf(soFar)))} />
      ) : null}
      <p>{say("student.forecast")} {say("student.paper")}</p>
      <Tick label={say("page.class.keys")} on={lesson.keys} onChange={(on) => { lesson.keys = on; draw((n) => n + 1); }} />
      <Notes store={store} doc={doc} level={level} />
      <Paper soFar={found.soFar} level={level} />
    </div>
  );
}

/** Hands up for each guess; once locked they stand, and only then summers can run. */
function Guess({ found, set }: { found: Found; set: (change: Partial<Found>) => void }): JSX.Element {
  const { hands, locked } = found;
  return (
    <section aria-label={say("page.class.guess.title")}>
      <h4>{say("page.class.guess.title")}</h4>
      {locked ? (
        <>
          <p class="hands">{WORDS.map((word, i) => <span key={word}>{say(`page.class.guess.${word}`)}: <strong>{hands[i]}</strong></span>)}</p>
          <div class="bar">
            <span>{say("page.class.guess.locked")}</span>
            <button type="button" onClick={() => set(nothing())}>{say("page.class.guess.anew")}</button>
          </div>
        </>
      ) : (
        <>
          <p>{say("page.class.guess.how")}</p>
          <div class="three">
            {WORDS.map((word, i) => (
              <NumberField key={word} label={say(`page.class.guess.${word}`)} value={hands[i] ?? 0} min={0} max={MOST_HANDS}
                onChange={(n) => set({ hands: hands.map((old, k) => (k === i ? Math.round(n) : old)) as Three })} />
            ))}
          </div>
          <div class="bar">
            <button type="button" class="main" disabled={sum(hands) === 0} onClick={() => set({ locked: true })}>{say("page.class.guess.lock")}</button>
          </div>
        </>
      )}
    </section>
  );
}

/** Twenty summers of one group, with the guess beside them. */
function Result({ found }: { found: Found }): JSX.Element | null {
  const { soFar } = found;
  const [a, b] = soFar?.plans ?? [];
  if (!soFar || !a || !b) return null;
  const counts = countOf(soFar);
  return (
    <div class="result">
      <p class="verdict">{b.says}</p>
      <Dots counts={b.counts} against={a.name} />
      <table>
        <caption>{say("page.class.result.title")}</caption>
        <thead>
          <tr><td></td>{WORDS.map((word) => <th key={word} scope="col" class="n">{say(`student.${word}`)}</th>)}</tr>
        </thead>
        <tbody>
          <tr><th scope="row">{say("page.class.result.hands")}</th>{found.hands.map((n, i) => <td key={i} class="n">{n}</td>)}</tr>
          <tr><th scope="row">{say("page.class.result.summers")}</th>{counts.map((n, i) => <td key={i} class="n">{n}</td>)}</tr>
        </tbody>
      </table>
      <p>{say("page.class.result.damage", { without: told(a.mean), with: told(b.mean) })} {b.caught > 0 ? say("page.class.result.caught", { n: told(b.caught) }) : null}</p>
    </div>
  );
}
