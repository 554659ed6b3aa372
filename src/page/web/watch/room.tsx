// The room where one summer is watched: the same insects without and with the plan, side by side. Nothing is worked out or
// moves before it is asked for.

import type { JSX } from "preact";
import { useEffect, useMemo, useState } from "preact/hooks";
import { ChoiceField } from "../fields";
import { useAsked } from "../map/asked";
import { counted, has, say } from "../say";
import { plans, useStore, type Store } from "../store";
import { isNothing, pair } from "../plans/answer";
import type { CheckedYard, SoFar } from "../types";
import { Picture } from "../yard/picture";
import { usualOf } from "../yard/room";
import { things, traps } from "../yard/things";
import { Clock, useClock } from "./clock";
import { Stage } from "./stage";
import { countTo, landings, moments, paceOf, read, realAt, shownAt, telling, type OneSummer, type Pace, type Track } from "./tracks";

/** Summers from which the middle one is taken. */
const SUMMERS = 20;
const SPEEDS = { slow: 0.5, normal: 1, fast: 3 };
const COUNTS = ["landed", "smelled", "caught", "taken"] as const;
const A_HOUR_S = 3600;

/** The text for people at their food, where there is one and they are the matter. */
const forGuild = (yard: CheckedYard, key: string): string =>
  ((yard.pest as { guild?: string }).guild === "visitor" && has(`${key}@people`) ? `${key}@people` : key);

export function Room({ store }: { store: Store }): JSX.Element {
  const state = useStore(store);
  const asked = useAsked<SoFar>(store, "watch");
  const { doc, reading, fresh, moving } = state;
  const all = plans(doc);
  const first = all.findIndex((plan) => !isNothing(plan));
  const [picked, pick] = useState<number | null>(null);
  const told = picked ?? moving;
  const plan = all[told] && !isNothing(all[told]) ? told : first;
  const found = asked.found?.doc === doc && asked.found.choice === String(plan) ? asked.found : null;
  const faulty = (reading?.faults.length ?? 0) > 0;
  const ready = fresh && !faulty && reading?.yard;
  const text = found?.files["one-summer.json"];
  const one = useMemo(() => (text === undefined ? null : read(text)), [text]);
  const ask = (): void => void asked.ask(doc, String(plan), pair(doc, plan, plan), { summers: SUMMERS });
  return (
    <div class="watch-room">
      {faulty ? <p class="refused" role="alert"><a href="#yard">{say("page.plan.faults")}</a></p> : null}
      {first < 0 ? <p>{say("page.watch.no-plan")}</p> : (
        <div class="fields">
          <ChoiceField label={say("page.watch.plan")} value={String(plan)} onChange={(id) => pick(Number(id))}
            options={all.flatMap((other, i) => (isNothing(other) ? [] : [{ id: String(i), name: String(other["name"] ?? "") }]))} />
          <div class="bar"><button type="button" class="main" disabled={!ready || found?.stage === "runs"} onClick={ask}>{say("page.watch.ask")}</button></div>
        </div>
      )}
      {found?.stage === "runs" ? (
        <p class="wait" role="status">
          {found.soFar ? counted("page.watch.wait.more", found.soFar.summers, { of: SUMMERS }) : say("page.watch.wait")}{" "}
          <button type="button" class="small" onClick={() => asked.halt()}>{say("page.stop")}</button>
        </p>
      ) : null}
      {found?.stage === "failed" ? <p class="refused" role="alert">{found.fault}</p> : null}
      {found?.stage === "done" && !one ? <p role="status">{say("page.watch.none")}</p> : null}
      {one && one.insects.length === 0 ? <p role="status">{say("page.watch.nobody")}</p> : null}
      {one && one.insects.length > 0 && reading?.yard ? <Show key={text} store={store} one={one} yard={reading.yard} plan={plan} /> : null}
    </div>
  );
}

/** Both yards, what moves them, and what is seen in words and numbers. */
function Show({ store, one, yard, plan }: { store: Store; one: OneSummer; yard: CheckedYard; plan: number }): JSX.Element {
  const state = useStore(store);
  const [chosen, choose] = useState(() => telling(one));
  const calm = useMemo(() => matchMedia("(prefers-reduced-motion: reduce)").matches, []);
  const clock = useMemo(() => new Clock(), []);
  const pace = useMemo(() => paceOf(one, chosen), [one, chosen]);
  const [speed, setSpeed] = useState<keyof typeof SPEEDS>("normal");
  clock.length = pace.shown.at(-1) ?? 0;
  clock.speed = SPEEDS[speed];
  useEffect(() => () => clock.pause(), [clock]);
  const steps = useMemo(() => moments(one, chosen), [one, chosen]);

  const follow = (id: string): void => {
    clock.pause();
    choose(id === "" ? null : Number(id));
    clock.set(0);
  };
  /** What the chosen insect does at a moment is said aloud. */
  const speak = (t: number): void => {
    if (chosen === null) return;
    const lines = one.insects[chosen]?.sides.flatMap((track, side) => track.events.filter(({ t_s }) => t_s === t)
      .map(({ what }) => `${side === 0 ? one.without : one.with}: ${say(forGuild(yard, `summer.${what}`))}`)) ?? [];
    store.set({ spoken: lines.join("; ") });
  };
  const step = (by: 1 | -1): void => {
    clock.pause();
    const now = realAt(pace, clock.now);
    const [before, after] = [steps.filter((t) => t < now - 0.05), steps.filter((t) => t > now + 0.05)];
    const next = by > 0 ? after[0] : before.at(-1);
    clock.set(next === undefined ? (by > 0 ? clock.length : 0) : shownAt(pace, next));
    if (next !== undefined) speak(next);
  };
  const key = (event: JSX.TargetedKeyboardEvent<HTMLElement>): void => {
    const target = event.target as HTMLElement;
    if (event.ctrlKey || event.altKey || event.metaKey || target instanceof HTMLSelectElement || target instanceof HTMLInputElement) return;
    if (event.key === " " && target.tagName !== "BUTTON" && target.tagName !== "SUMMARY") clock.running ? clock.pause() : clock.play();
    else if (event.key === "ArrowRight") step(1);
    else if (event.key === "ArrowLeft") step(-1);
    else if (event.key === "Home") { clock.pause(); clock.set(0); }
    else return;
    event.preventDefault();
  };
  const names = [one.without, one.with];
  const still = calm && chosen !== null;
  const grounds = things(state.doc, usualOf(state));
  const hung = [[], traps(state.doc, plan)];

  return (
    <section class="watch" aria-label={say("page.room.watch")} onKeyDown={key}>
      <p>{say("page.watch.same")} {say(one.days === 1 ? "summer.typical.one" : "summer.typical", { from: one.day + 1, to: one.day + one.days })}</p>
      <p class="hint">{say("summer.kept", { came: one.came, days: one.days === 1 ? say("summer.days.1") : say("summer.days", { days: one.days }), shown: one.insects.length })} {say("summer.time")}</p>
      <div class="fields">
        <ChoiceField label={say("summer.follow")} value={chosen === null ? "" : String(chosen)} none={say("summer.nobody")} onChange={follow}
          options={one.insects.map(({ sides }, i) => ({ id: String(i), name: say(kindOf(sides[1]), { n: i + 1 }) }))} />
        <ChoiceField label={say("summer.speed")} value={speed} onChange={(id) => setSpeed(id as keyof typeof SPEEDS)}
          options={Object.keys(SPEEDS).map((id) => ({ id, name: say(`summer.${id}`) }))} />
      </div>
      <Controls clock={clock} step={step} />
      {calm ? <p class="hint">{say("summer.still")}</p> : null}
      <div class="twice" tabIndex={0} role="group" aria-label={say("page.watch.yards")}>
        {([0, 1] as const).map((side) => (
          <div key={side}>
            <h3>{names[side]}</h3>
            <Picture doc={state.doc} things={[...grounds, ...(hung[side] ?? [])]} mostHeight={440}
              title={names[side]}
              layer={(scale) => <Stage one={one} side={side} yard={yard} traps={hung[side] ?? []} scale={scale} clock={clock} pace={pace} chosen={chosen} still={still} />} />
          </div>
        ))}
      </div>
      <p class="hint">{say("summer.legend")} {say("page.watch.numbers")} {say("summer.keys")} {say("page.watch.keys")}</p>
      <Counts one={one} yard={yard} clock={clock} pace={pace} />
      {chosen === null ? null : <Story one={one} yard={yard} chosen={chosen} clock={clock} pace={pace} whole={calm} />}
    </section>
  );
}

function kindOf(track: Track): string {
  const did = (what: string): boolean => track.events.some((event) => event.what === what);
  if (did("caught")) return "summer.insect.taken";
  if (did("smelled")) return did("landed") ? "summer.insect.ate" : "summer.insect.smelled";
  return "summer.insect";
}

function Controls({ clock, step }: { clock: Clock; step: (by: 1 | -1) => void }): JSX.Element {
  useClock(clock);
  return (
    <div class="bar">
      <button type="button" onClick={() => (clock.running ? clock.pause() : clock.play())}>{say(clock.running ? "summer.pause" : "summer.play")}</button>
      <button type="button" onClick={() => step(-1)}>{say("page.watch.step.back")}</button>
      <button type="button" onClick={() => step(1)}>{say("summer.step")}</button>
      <button type="button" onClick={() => { clock.pause(); clock.set(0); }}>{say("summer.back")}</button>
      <label class="pick time">
        <span>{say("page.watch.time")}</span>
        <input type="range" min="0" max="1000" value={Math.round((1000 * clock.now) / Math.max(clock.length, 1e-9))}
          onInput={(event) => { clock.pause(); clock.set((Number(event.currentTarget.value) / 1000) * clock.length); }} />
      </label>
    </div>
  );
}

/** Day and hour of a moment. */
function clockOf(one: OneSummer, t: number): string {
  const day = Math.min(Math.floor(t / one.day_s), one.days - 1);
  return say("summer.clock", { d: one.day + day + 1, h: Math.floor((t - day * one.day_s) / A_HOUR_S) + 1 });
}

/** What has happened up to now, on both sides, and the landings bed by bed. */
function Counts({ one, yard, clock, pace }: { one: OneSummer; yard: CheckedYard; clock: Clock; pace: Pace }): JSX.Element {
  useClock(clock);
  const t = realAt(pace, clock.now);
  const meals = useMemo(() => ([0, 1] as const).map((side) => landings(one, side, yard)), [one, yard]);
  const beds = useMemo(() => [...new Map(yard.plants.map((plant) => [plant.crop, plant])).values()], [yard]);
  const key = { landed: "summer.count.meals", smelled: "summer.count.smelled", caught: "summer.count.caught", taken: "summer.count.taken" };
  const on = (side: number, crop: number): number => (meals[side] ?? []).filter((meal) => meal.t <= t && yard.plants[meal.plant]?.crop === crop).length;
  return (
    <table class="counter">
      <caption>{say("page.watch.until", { time: clockOf(one, t) })}</caption>
      <thead>
        <tr><td /><th scope="col" class="n">{one.without}</th><th scope="col" class="n">{one.with}</th></tr>
      </thead>
      <tbody>
        {COUNTS.map((what) => (
          <tr key={what} data-count={what}>
            <th scope="row">{say(forGuild(yard, key[what]))}</th>
            {([0, 1] as const).map((side) => <td key={side} class="n">{countTo(one, side, what, t)}</td>)}
          </tr>
        ))}
        {beds.map(({ crop, bed, mine }) => (
          <tr key={`bed ${crop}`} data-bed={crop}>
            <th scope="row">{say("page.watch.on", { name: mine ? bed : say("page.beds.theirs", { name: bed }) })}</th>
            {[0, 1].map((side) => <td key={side} class="n">{on(side, crop)}</td>)}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** What the chosen insect did, step by step, up to now or as a whole. */
function Story({ one, yard, chosen, clock, pace, whole }: { one: OneSummer; yard: CheckedYard; chosen: number; clock: Clock; pace: Pace; whole: boolean }): JSX.Element | null {
  useClock(clock);
  const t = whole ? Infinity : realAt(pace, clock.now);
  const sides = one.insects[chosen]?.sides;
  if (!sides) return null;
  return (
    <section aria-label={say("summer.story")}>
      <h3>{say("summer.story")}</h3>
      {sides[0] === sides[1] ? <p>{say("summer.same")}</p> : null}
      <div class="twice">
        {sides.map((track, side) => (
          <div key={side}>
            <h4>{side === 0 ? one.without : one.with}</h4>
            <ol class="story">
              {track.events.filter(({ t_s }) => t_s <= t).map(({ t_s, what }, i) => (
                <li key={i}>{say("page.watch.did", { what: say(forGuild(yard, `summer.${what}`)), time: clockOf(one, t_s) })}</li>
              ))}
            </ol>
          </div>
        ))}
      </div>
    </section>
  );
}
