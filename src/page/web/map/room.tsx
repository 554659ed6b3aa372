// The room of the map: where a trap helps, where it hurts, and the numbers of any place.

import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { Cautions, ChoiceField } from "../fields";
import { counted, say, signed, told } from "../say";
import { parts, plans, useStore, type Part, type Store } from "../store";
import { Picture } from "../yard/picture";
import { usualOf } from "../yard/room";
import { size, spotted, things, type Thing } from "../yard/things";
import { useAsked, type Found } from "./asked";
import { cellAt, listed, nearestPlant, nearestSite, of, spotOf, zoneWord, type Placement, type PlaceSoFar, type Site } from "./places";
import { Key, Zones } from "./zones";

/** What a trap is to do; keeping insects off people needs a patio. */
const OBJECTIVES = ["damage", "people", "catch"];
/** A place this near is the place that was tried. */
const SAME_FT = 0.75;
const CURSOR = "map.place";

interface Spot { x: number; y: number }

const hasPatio = (doc: Part): boolean => parts(doc["structures"]).some((part) => part["kind"] === "patio");

/** The plan whose trap is tried: the first that hangs one of the asker's own. */
const tried = (doc: Part): Part | undefined => plans(doc).find((plan) => parts(plan["traps"]).some((trap) => !trap["owner"]));

function read(found: Found<PlaceSoFar>): Placement | null {
  const text = found.files["placement.json"];
  return text === undefined ? null : (JSON.parse(text) as Placement);
}

/** The first sentence of the program's own text, which is wrapped for a terminal. */
const headline = (text: string): string => (text.split(/\n(?! )/)[0] ?? "").replace(/\s+/g, " ").trim();

export function Room({ store }: { store: Store }): JSX.Element {
  const state = useStore(store);
  const asked = useAsked<PlaceSoFar>(store, "place");
  const { doc, language, reading, fresh } = state;
  const [chosen, setObjective] = useState(asked.found?.choice ?? "damage");
  const objective = chosen === "people" && !hasPatio(doc) ? "damage" : chosen;
  const [place, setPlace] = useState<Spot | null>(null);
  const faulty = (reading?.faults.length ?? 0) > 0;
  const ready = fresh && reading?.yard && !faulty;
  const found = asked.found?.doc === doc && asked.found.choice === objective ? asked.found : null;
  const ask = (): void => void asked.ask(doc, objective, doc, { objective });
  useEffect(() => {
    if (!ready) asked.halt();
    else if (!found || found.language !== language) ask();
  }, [ready, doc, objective, language]);
  // Whoever comes back to a map that was under way finds it going on.
  useEffect(() => { if (ready && found?.stage === "stopped") ask(); }, []);

  // Spots have their numbers on the map and their names in the list.
  const yard = things(doc, usualOf(state)).filter((thing) => thing.kind !== "spot");
  const sided = (x: number, y: number): string => spotted(doc, x, y);
  const [width, depth] = size(doc);
  const soFar = found?.soFar ?? null;
  const placement = found ? read(found) : null;
  const list = soFar ? listed(soFar.sites, placement) : [];
  // Where even the best is a place to keep clear of, it is not called so.
  const listKey = list[0]?.zone === "raises" ? "page.map.list.least" : "page.map.list";
  const spot = place ?? (list[0] ? spotOf(list[0]) : { x: width / 2, y: depth / 2 });
  const cell = soFar?.map ? cellAt(soFar.map, spot) : null;
  const cursor: Thing = { id: CURSOR, path: [], kind: "trap", part: {}, name: "", shape: { form: "point", ...spot } };
  const go = (x: number, y: number): void => setPlace({ x: Math.min(Math.max(x, 0), width), y: Math.min(Math.max(y, 0), depth) });
  const trap = tried(doc);

  return (
    <div class="map-room">
      <div class="fields">
        <ChoiceField label={say("page.map.objective")} value={objective} onChange={(id) => { setObjective(id); setPlace(null); }}
          options={OBJECTIVES.filter((id) => id !== "people" || hasPatio(doc)).map((id) => ({ id, name: say(`page.map.objective.${id}`) }))} />
      </div>
      {faulty ? <p class="refused" role="alert"><a href="#yard">{say("page.plan.faults")}</a></p> : null}
      <div class="side-by-side">
        <div>
          <Picture doc={doc} things={soFar?.map ? [...yard, cursor] : yard} selected={CURSOR}
            movable={(thing) => thing.id === CURSOR}
            describe={() => say("page.map.chosen", { spot: sided(spot.x, spot.y), zone: cell ? zoneWord(cell.zone, objective) : "" })}
            onMove={(_, east, north) => go(Math.round(spot.x + east), Math.round(spot.y + north))}
            layer={(scale) => (soFar?.map ? (
              <Zones map={soFar.map} list={list} plants={yard.filter((thing) => thing.kind === "crop")} scale={scale}
                onChoose={(x, y) => go(Math.round(x), Math.round(y))} />
            ) : null)} />
          {soFar?.map ? <p class="hint">{say("page.map.hint")}</p> : null}
          {soFar?.map ? <Key map={soFar.map} objective={objective} /> : null}
        </div>
        <div class="answer">
          {found?.stage === "failed" ? <p class="refused" role="alert">{found.fault}</p> : null}
          {found && soFar ? <Known found={found} list={list} placement={placement} halt={() => asked.halt()} resume={ask} />
            : faulty || found?.stage === "failed" ? null : <Wait found={found} halt={() => asked.halt()} resume={ask} />}
          {objective === "damage" ? null : <p><strong>{say("page.map.other")}</strong></p>}
          {trap ? <p class="hint">{say("page.map.trap", { name: String(trap["name"] ?? "") })}</p> : null}
          <Cautions lines={reading?.yard?.plans.find((plan) => plan.name === trap?.["name"])?.cautions} />
          {soFar && cell && reading?.yard ? (
            <section class="place" aria-label={say("page.map.place")} aria-live="polite" data-zone={cell.zone}>
              <h3>{sided(spot.x, spot.y)}</h3>
              <Numbers spot={spot} soFar={soFar} objective={objective} />
              <Near store={store} spot={spot} />
            </section>
          ) : null}
        </div>
      </div>
      {soFar ? (
        <section aria-label={say(listKey)}>
          <h3>{say(listKey)}</h3>
          <ol class="things places">
            {list.map((site, i) => (
              <li key={i}>
                <p><strong>{i + 1}. {site.name ?? sided(site.x_ft, site.y_ft)}: {zoneWord(site.zone, objective)}</strong></p>
                <p>{site.name === null ? null : `${sided(site.x_ft, site.y_ft)}. `}<Tried site={site} objective={objective} /> <Near store={store} spot={spotOf(site)} bare /></p>
                <button type="button" class="small" aria-label={say("page.map.show.of", { n: i + 1 })} onClick={() => setPlace(spotOf(site))}>{say("page.map.show")}</button>
              </li>
            ))}
          </ol>
        </section>
      ) : null}
    </div>
  );
}

function Wait({ found, halt, resume }: { found: Found<PlaceSoFar> | null; halt: () => void; resume: () => void }): JSX.Element {
  const stopped = found?.stage === "stopped";
  return (
    <p class="wait" role="status">
      {say(stopped ? "page.plan.stage.stopped" : "page.map.wait")}{" "}
      {stopped ? <button type="button" class="small" onClick={resume}>{say("page.go-on")}</button> : null}
      {found && !stopped ? <button type="button" class="small" onClick={halt}>{say("page.stop")}</button> : null}
    </p>
  );
}

/** The sentence, and how many summers all that rests on. */
function Known({ found, list, placement, halt, resume }: { found: Found<PlaceSoFar>; list: Site[]; placement: Placement | null; halt: () => void; resume: () => void }): JSX.Element {
  const best = list[0];
  const text = found.files["placement.txt"];
  const sofar = best?.zone === "raises" ? say("page.map.so-far.none") : best ? say("page.map.so-far", { spot: spotted(found.doc, best.x_ft, best.y_ft), zone: zoneWord(best.zone, found.choice) }) : "";
  const stage = found.stage === "done" && !placement?.settled ? "open" : found.stage;
  return (
    <section class="found" aria-label={say("page.plan.found")}>
      <p class="verdict">{text === undefined ? sofar : headline(text)}</p>
      <p class="rests">
        {counted("page.plan.rests", found.soFar?.summers ?? 0)} {counted("page.map.tried", found.soFar?.sites.length ?? 0)}{" "}
        {say(`page.map.stage.${stage}`)}{" "}
        {stage === "runs" ? <button type="button" class="small" onClick={halt}>{say("page.stop")}</button> : null}
        {stage === "stopped" ? <button type="button" class="small" onClick={resume}>{say("page.go-on")}</button> : null}
      </p>
    </section>
  );
}

/** The numbers of a place that was tried. */
function Tried({ site, objective }: { site: Site; objective: string }): JSX.Element {
  const { more, same, less } = site.counts;
  const theirs = site.neighbour_change;
  return (
    <>
      {say("page.map.counts", { more, same, less, of: of(site.counts) })} {say(`page.map.change.${objective}`, { n: signed(site.change), error: told(2 * site.error) })}{" "}
      {say("page.map.caught", { n: told(site.caught) })}{theirs === null ? null : ` ${say("page.map.theirs", { n: signed(theirs) })}`}
    </>
  );
}

/** The numbers of any place: its own where it was tried, else those of the map and of the nearest that was tried. */
function Numbers({ spot, soFar, objective }: { spot: Spot; soFar: PlaceSoFar; objective: string }): JSX.Element | null {
  const near = nearestSite(soFar.sites, spot);
  const cell = soFar.map ? cellAt(soFar.map, spot) : null;
  if (near && near.ft <= SAME_FT) {
    return <><p class="zone-word">{zoneWord(near.one.zone, objective)}</p><p><Tried site={near.one} objective={objective} /></p></>;
  }
  if (!cell) return null;
  if (cell.zone === "closed") return <p class="zone-word">{say("page.kind.keep-off")}</p>;
  return (
    <>
      <p class="zone-word">{zoneWord(cell.zone, objective)}</p>
      <p>{say(`page.map.change.${objective}`, { n: signed(cell.change), error: told(2 * cell.error) })} {say("page.map.between")}</p>
      {near ? <p>{say("page.map.nearest", { n: told(near.ft), zone: zoneWord(near.one.zone, objective) })} <Tried site={near.one} objective={objective} /></p> : null}
    </>
  );
}

/** How far it is to the nearest plant. */
function Near({ store, spot, bare = false }: { store: Store; spot: Spot; bare?: boolean }): JSX.Element | null {
  const yard = store.state.reading?.yard;
  const near = yard ? nearestPlant(yard, spot) : null;
  if (!near) return null;
  const text = say("page.map.near", { n: told(near.ft), name: near.one.bed });
  return bare ? <>{text}</> : <p>{text}</p>;
}
