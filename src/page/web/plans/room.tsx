// The room where plans are tried: plan A is kept, plan B is moved, and what changes shows at once.

import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { Cautions } from "../fields";
import { counted, say, told } from "../say";
import type { CheckedYard, Fault, PlanSoFar, Range } from "../types";
import { plans, put, useStore, type Part, type Store } from "../store";
import { Picture, TrapMark } from "../yard/picture";
import { describe, moveThing, usualOf } from "../yard/room";
import { fresh, middle, things, traps } from "../yard/things";
import { answering, both, type Answer } from "./answer";
import { Beds, Damage, scaleEnd } from "./damage";
import { Dots } from "./dots";
import { EditPlan } from "./edit";

export function Room({ store }: { store: Store }): JSX.Element {
  const state = useStore(store);
  useEffect(() => answering(store), [store]);
  const { doc, pinned, moving, answer } = state;
  const yard = things(doc, usualOf(state));
  const moved = traps(doc, moving);
  const kept = pinned === moving ? [] : traps(doc, pinned);
  // An older answer stays until there is a new one, as long as only plans were changed.
  const shown = answer?.a === pinned && answer.b === moving && sameGround(answer.doc, doc) ? answer : null;
  const [a, b] = shown ? both(shown, shown.soFar?.plans ?? []) : [undefined, undefined];
  const faulty = (state.reading?.faults.length ?? 0) > 0;
  return (
    <div class="plans-room">
      <div class="side-by-side">
        <div>
          <Picture doc={doc} things={[...yard, ...moved]} selected={state.selected}
            movable={(thing) => thing.kind === "trap"} describe={(thing) => describe(doc, thing)}
            onSelect={(thing) => store.set({ selected: thing.id })}
            onMove={(thing, east, north) => moveThing(store, thing, east, north)} onDrop={() => store.settle()}
            onRemove={(thing) => store.change((next) => put(next, thing.path, undefined))}
            layer={(scale) => (
              <>
                {a && b && shown?.yard ? <Damage yard={shown.yard} a={a} b={b} scale={scale} /> : null}
                {kept.map((trap) => trap.shape && <TrapMark key={trap.id} open x={scale.x(middle(trap.shape)[0])} y={scale.y(middle(trap.shape)[1])} />)}
              </>
            )} />
          <p class="hint">
            {say("page.plan.key")} {a && b ? say("page.plan.largest", { n: scaleEnd(a, b) }) : null}
          </p>
          <div class="bar">
            <button type="button" disabled={!store.canUndo} onClick={() => store.undo()}>{say("page.undo")}</button>
            <button type="button" disabled={!store.canRedo} onClick={() => store.redo()}>{say("page.redo")}</button>
          </div>
        </div>
        <div class="answer">
          {faulty ? <Faults store={store} faults={state.reading?.faults ?? []} /> : null}
          <Found store={store} answer={shown} />
          {a && b && shown?.yard ? <Beds yard={shown.yard} a={a} b={b} /> : null}
        </div>
        <Choose store={store} />
      </div>
      <EditPlan store={store} plan={moving} />
      <Earlier store={store} />
    </div>
  );
}

/** What is wrong with the plans, each with the way to the plan that it is in, or else the way to what is wrong in the yard. */
function Faults({ store, faults }: { store: Store; faults: Fault[] }): JSX.Element {
  const ours = faults.filter(({ place }) => place.startsWith("plans"));
  const all = plans(store.state.doc);
  const whose = ({ place }: Fault): number => Number(/^plans\[(\d+)\]/.exec(place)?.[1] ?? -1);
  return (
    <div class="refused" role="alert">
      {ours.map((fault) => {
        const name = all[whose(fault)]?.["name"];
        const go = <button type="button" class="small" onClick={() => store.set({ moving: whose(fault), selected: null })}>{String(name)}</button>;
        return <p key={fault.place + fault.say}>{name === undefined ? null : go} {fault.say}</p>;
      })}
      {ours.length < faults.length ? <p><a href="#yard">{say("page.plan.faults")}</a></p> : null}
    </div>
  );
}

/** Whether two yards differ in their plans alone. */
const sameGround = (one: Part, other: Part): boolean =>
  one === other || JSON.stringify({ ...one, plans: [] }) === JSON.stringify({ ...other, plans: [] });

/** A range of dollars or minutes. */
const range = (ends: Range | undefined): string => {
  const [low, high] = [Math.round(ends?.[0] ?? 0), Math.round(ends?.[2] ?? 0)];
  return low === high ? `${low}` : `${low}–${high}`;
};

/** The sentence, the dots, the damage with the catch beside it, and how many summers all that rests on. */
function Found({ store, answer }: { store: Store; answer: Answer | null }): JSX.Element {
  const { doc, reading } = store.state;
  const soFar = answer?.soFar;
  if (answer?.stage === "failed") return <p class="refused" role="alert">{answer.fault}</p>;
  if (!answer || !soFar) return <p class="wait">{say("page.plan.wait")}</p>;
  const old = answer.doc !== doc || answer.language !== store.state.language;
  const running = answer.stage === "quick" || answer.stage === "more";
  const stage = old ? "old" : answer.stage === "done" && !soFar.settled ? "open" : answer.stage;
  const [a, b] = both(answer, soFar.plans);
  const against = soFar.plans[0]?.name ?? "";
  const rows = [{ letter: "A", plan: a }, { letter: "B", plan: b }].filter((_, i) => i === 0 || answer.a !== answer.b);
  const yard = answer.yard ?? reading?.yard;
  const checked = (plan: PlanSoFar | undefined): CheckedYard["plans"][number] | undefined => yard?.plans.find(({ name }) => name === plan?.name);
  return (
    <section class={old ? "found old" : "found"} aria-label={say("page.plan.found")}>
      <p class="verdict">{soFar.says || say("page.plan.alone")}</p>
      <p class="rests">
        {counted("page.plan.rests", soFar.summers)} {say(`page.plan.stage.${stage}`)}{" "}
        {running && !old ? <button type="button" class="small" onClick={() => store.halt()}>{say("page.stop")}</button> : null}
        {answer.stage === "stopped" ? <button type="button" class="small" onClick={() => store.resume()}>{say("page.go-on")}</button> : null}
      </p>
      {rows.map(({ letter, plan }) => (plan && plan.says !== null ? (
        <div key={letter}>
          <p>{say("page.dots.of", { letter, name: plan.name, other: against })}</p>
          <Dots counts={plan.counts} against={against} />
        </div>
      ) : null))}
      <table>
        <caption>{say("page.plan.numbers")}</caption>
        <thead>
          <tr>
            <th scope="col">{say("page.plan.plan")}</th>
            <th scope="col" class="n">{say("handout.col.damage", { state: say(`state.${yard?.pest.guild ?? "chewer"}`) })}</th>
            <th scope="col" class="n">{say("page.plan.caught")}</th>
            <th scope="col" class="n">{say("page.plan.minutes")}</th>
            <th scope="col" class="n">{say("page.plan.dollars")}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(({ letter, plan }) => plan && (
            <tr key={letter}>
              <th scope="row">{letter} – {plan.name}</th>
              <td class="n">{told(plan.mean)}{plan.error ? ` ± ${told(2 * plan.error)}` : ""}</td>
              <td class="n">{told(plan.caught)}</td>
              <td class="n">{range(checked(plan)?.minutes)}</td>
              <td class="n">{range(checked(plan)?.dollars)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {yard?.period ? <p class="hint">{yard.period}</p> : null}
      {yard?.plots.map((plot, i) => {
        const [before, after] = [a?.plots[i], b?.plots[i]];
        return typeof before === "number" && typeof after === "number" && a !== b
          ? <p key={plot.name}>{say("page.plan.neighbor", { name: plot.name, before: told(before), after: told(after) })}</p> : null;
      })}
      <Cautions lines={checked(b)?.cautions} />
    </section>
  );
}

/** All plans: which is kept, which is moved; new ones, copies, and out with the rest. */
function Choose({ store }: { store: Store }): JSX.Element {
  const state = useStore(store);
  const { doc, pinned, moving } = state;
  const all = plans(doc);
  const choose = (change: { pinned?: number; moving?: number }): void => store.set({ ...change, selected: null });
  const made = (plan: Part): void => {
    store.change((next) => {
      if (!Array.isArray(next["plans"])) next["plans"] = [];
      (next["plans"] as Part[]).push({ ...plan, name: fresh(String(plan["name"]), all) });
    });
    choose({ moving: plans(store.state.doc).length - 1 });
  };
  const copied = all[moving];
  return (
    <section aria-label={say("page.plan.all")}>
      <h3>{say("page.plan.all")}</h3>
      <ul class="choose">
        {all.map((plan, i) => (
          <li key={i}>
            <span>{String(plan["name"] ?? "")}</span>
            <button type="button" aria-pressed={pinned === i} aria-label={say("page.plan.keep.of", { name: String(plan["name"]) })} onClick={() => choose({ pinned: i })}>{say("page.plan.keep")}</button>
            <button type="button" aria-pressed={moving === i} aria-label={say("page.plan.move.of", { name: String(plan["name"]) })} onClick={() => choose({ moving: i })}>{say("page.plan.move")}</button>
          </li>
        ))}
      </ul>
      <div class="bar">
        <button type="button" onClick={() => made({ name: say("page.plan.new-name"), traps: [] })}>{say("page.plan.new")}</button>
        {copied ? <button type="button" onClick={() => made(structuredClone(copied))}>{say("page.plan.copy")}</button> : null}
        {all.length > 1 ? (
          <button type="button" onClick={() => {
            store.change((next) => put(next, ["plans", moving], undefined));
            choose({ pinned: pinned > moving ? pinned - 1 : store.state.pinned });
          }}>
            {say("page.remove", { name: String(copied?.["name"] ?? "") })}
          </button>
        ) : null}
      </div>
    </section>
  );
}

/** Answers found before, to come back to. */
function Earlier({ store }: { store: Store }): JSX.Element | null {
  const { recent, doc, language } = useStore(store);
  const older = recent.filter((entry) => entry.doc !== doc && entry.language === language);
 
  if (older.length === 0) return null;
  return (
    <section aria-label={say("page.plan.earlier")}>
      <h3>{say("page.plan.earlier")}</h3>
      <ul class="things">
        {older.map((entry, i) => (
          <li key={i}>
            <p>{entry.soFar.says} {counted("page.plan.rests", entry.soFar.summers)}</p>
            <button type="button" onClick={() => {
              store.change((next) => {
                for (const key of Object.keys(next)) delete next[key];
                Object.assign(next, structuredClone(entry.doc));
              });
              store.set({ pinned: entry.a, moving: entry.b });
            }}>{say("page.plan.back")}</button>
          </li>
        ))}
      </ul>
    </section>
  );
}
