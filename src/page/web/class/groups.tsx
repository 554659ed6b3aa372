// What the groups counted, typed in or worked out here, and all their summers on one picture.

import type { JSX } from "preact";
import { NumberField } from "../fields";
import { Heap } from "../plans/dots";
import { counted, say } from "../say";
import { MOST_GROUPS, pooled, sum, SUMMERS, WORDS, type Found, type Three } from "./lesson";

interface Props {
  found: Found;
  set: (change: Partial<Found>) => void;
  /** Has the summers of a group worked out. */
  run: (group: number, told: (counts: Three) => void) => void;
}

export function Groups({ found, set, run }: Props): JSX.Element {
  const { groups, running } = found;
  const put = (i: number, three: Three): void => set({ groups: groups.map((old, k) => (k === i ? three : old)) });
  return (
    <section class="groups" aria-label={say("page.class.groups.title")}>
      <h4>{say("page.class.groups.title")}</h4>
      <p>{say("page.class.groups.how")}</p>
      <div class="side-by-side">
        <ul class="things">
          {groups.map((three, i) => {
            const counts = three ?? [0, 0, 0];
            const total = sum(counts as Three);
            return (
              <li key={i}>
                <fieldset>
                  <legend>{say("page.class.groups.group", { n: i + 1 })}</legend>
                  <div class="three">
                    {WORDS.map((word, k) => (
                      <NumberField key={word} label={say(`student.${word}`)} value={three ? (three[k] ?? 0) : null} min={0} max={SUMMERS}
                        onChange={(n) => put(i, counts.map((old, at) => (at === k ? Math.round(n) : old)) as Three)} />
                    ))}
                  </div>
                  {three && total !== SUMMERS ? <p class="fault">{say("page.class.groups.sum", { n: total, of: SUMMERS })}</p> : null}
                  {three ? null : (
                    <button type="button" disabled={running} onClick={() => run(i + 1, (counted) => put(i, counted))}>{say("page.class.groups.here", { n: i + 1 })}</button>
                  )}
                </fieldset>
              </li>
            );
          })}
          {groups.length < MOST_GROUPS ? (
            <li><button type="button" onClick={() => set({ groups: [...groups, null] })}>{say("page.class.groups.more")}</button></li>
          ) : null}
        </ul>
        <Pooled found={found} />
      </div>
    </section>
  );
}

/** All summers of all groups: a mark for each, in three heaps, with the share and how far groups lie apart. */
function Pooled({ found }: { found: Found }): JSX.Element {
  const { counts, groups } = pooled(found.groups);
  const total = sum(counts);
  if (total === 0) return <p>{say("page.class.pool.none")}</p>;
  return (
    <div>
      <h4>{counted("page.class.pool.title", groups.length, { groups: groups.length, n: total })}</h4>
      <ul class="heaps pool">
        {WORDS.map((word, k) => {
          const n = counts[k] ?? 0;
          const each = groups.map((three) => three[k] ?? 0);
          return (
            <li key={word}>
              <Heap word={word} n={n} rows={10} />
              <span>
                {say(`page.dots.${word}`, { n, of: total })}: {say("number.unit.share", { n: Math.round((100 * n) / total) })}.{" "}
                {groups.length > 1 ? say("page.class.pool.range", { low: Math.min(...each), high: Math.max(...each) }) : null}
              </span>
            </li>
          );
        })}
      </ul>
    </div>
  );
}
