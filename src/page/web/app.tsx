// The frame: title, language, the rooms, and what is said aloud. A new room is a line in ROOMS and a folder of its own.

import type { ComponentChildren, ComponentType, JSX } from "preact";
import { useEffect, useErrorBoundary, useRef, useState } from "preact/hooks";
import { say } from "./say";
import { keepOpen, useStore, type Store } from "./store";
import type { Language } from "./types";
import { Room as AwayRoom } from "./away/room";
import { Room as ClassRoom } from "./class/room";
import { Room as DoubtRoom } from "./doubt/room";
import { Room as MapRoom } from "./map/room";
import { Room as PlansRoom } from "./plans/room";
import { Room as WatchRoom } from "./watch/room";
import { Room as YardRoom } from "./yard/room";

/** Each room: its place in the address, and what it shows. Its name is the text `page.room.<id>`, its lead `page.lead.<id>`. */
const ROOMS: { id: string; Room: ComponentType<{ store: Store }> }[] = [
  { id: "yard", Room: YardRoom },
  { id: "plans", Room: PlansRoom },
  { id: "map", Room: MapRoom },
  { id: "watch", Room: WatchRoom },
  { id: "class", Room: ClassRoom },
  { id: "doubt", Room: DoubtRoom },
  { id: "away", Room: AwayRoom },
];

const here = (): string => {
  const id = location.hash.slice(1).split("?")[0] ?? "";
  return ROOMS.some((room) => room.id === id) ? id : "yard";
};

/** A fault in one room leaves the others, and the yard with its file, as they are. */
function Guard({ children }: { children: ComponentChildren }): JSX.Element {
  const [fault] = useErrorBoundary((why) => console.error(why));
  return fault ? <p class="refused" role="alert">{say("page.room.broken")}</p> : <>{children}</>;
}

export function App({ store }: { store: Store }): JSX.Element {
  const state = useStore(store);
  const [room, setRoom] = useState(here);
  const title = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    const turn = (): void => {
      setRoom(here());
      title.current?.focus();
    };
    const key = (event: KeyboardEvent): void => {
      const typing = event.target instanceof HTMLInputElement && event.target.type !== "checkbox";
      if (!(event.ctrlKey || event.metaKey) || typing) return;
      const letter = event.key.toLowerCase();
      if (letter !== "z" && letter !== "y") return;
      event.preventDefault();
      if (letter === "y" || event.shiftKey) store.redo();
      else store.undo();
    };
    const leave = (event: BeforeUnloadEvent): void => { if (store.unsaved) event.preventDefault(); };
    const hide = (): void => keepOpen(store);
    addEventListener("hashchange", turn);
    addEventListener("keydown", key);
    addEventListener("beforeunload", leave);
    addEventListener("pagehide", hide);
    return () => {
      removeEventListener("hashchange", turn);
      removeEventListener("keydown", key);
      removeEventListener("beforeunload", leave);
      removeEventListener("pagehide", hide);
    };
  }, [store]);
  useEffect(() => { document.title = `${say(`page.room.${room}`)} – lurefield`; }, [room, state.language]);
  const asked = location.hash.includes("?") ? `?${location.hash.split("?")[1]}` : "";
  const { Room } = ROOMS.find(({ id }) => id === room) ?? { Room: YardRoom };
  return (
    <>
      <a class="skip" href="#room" onClick={(event) => { event.preventDefault(); title.current?.focus(); }}>{say("page.skip")}</a>
      <header>
        <div class="masthead">
          <h1>lurefield</h1>
          <p>{String(state.doc["title"] ?? "")}</p>
          <label class="pick language">
            <span>{say("page.language")}</span>
            <select value={state.language} onChange={(event) => void store.speak(event.currentTarget.value as Language)}>
              <option value="en" lang="en">English</option>
              <option value="es" lang="es">Español</option>
            </select>
          </label>
        </div>
        <nav aria-label={say("page.rooms")}>
          <ol>
            {ROOMS.map(({ id }) => (
              <li key={id}><a href={`#${id}${asked}`} aria-current={id === room ? "page" : undefined}>{say(`page.room.${id}`)}</a></li>
            ))}
          </ol>
        </nav>
      </header>
      <main>
        <h2 id="room" tabIndex={-1} ref={title}>{say(`page.room.${room}`)}</h2>
        <p class="lead">{say(`page.lead.${room}`)}</p>
        <Guard key={room}><Room store={store} /></Guard>
      </main>
      <footer>
        <p>{say("page.foot")}</p>
        {state.language === "en" ? null : <p>{say("language.mark")}</p>}
      </footer>
      <p class="unseen" role="status" aria-live="polite">{state.spoken}</p>
    </>
  );
}
