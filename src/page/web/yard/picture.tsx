// The drawing of a yard: one picture for drawing it, trying plans and everything else that has a place.

import type { ComponentChildren, JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { say } from "../say";
import { at, type Part } from "../store";
import { degrees, sideAt } from "../words";
import { bounds, corners, extent, middle, size, upward, type Box, type Kind, type Shape, type Thing } from "./things";

/** From feet to the points of the picture. */
export interface Scale {
  k: number;
  x(ft: number): number;
  y(ft: number): number;
}

interface Props {
  doc: Part;
  things: Thing[];
  /** What is said before the words for any drawing of a yard. */
  title?: string | undefined;
  selected?: string | null;
  /** Things that can be chosen and moved. */
  movable?: (thing: Thing) => boolean;
  onSelect?: (thing: Thing) => void;
  /** Moves by feet; `corner` moves one corner only. */
  onMove?: (thing: Thing, east: number, north: number, corner?: number) => void;
  /** A pointer was let go. */
  onDrop?: () => void;
  onRemove?: (thing: Thing) => void;
  describe?: (thing: Thing) => string;
  /** Drawn over the yard and under what can be moved. */
  layer?: (scale: Scale) => ComponentChildren;
  mostHeight?: number;
}

const MARGIN = 30;
/** In less room than this only the yard itself and its edge are shown, so that a finger can move what is in it. */
const NARROW_PX = 480;
/** Half of the smallest target for a finger. */
const FINGER = 22;
const ARROWS: Record<string, [number, number]> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

export function Picture(props: Props): JSX.Element {
  const { doc, things, onMove, onSelect, onRemove, onDrop } = props;
  const frame = useRef<HTMLDivElement>(null);
  const [room, setRoom] = useState(600);
  useEffect(() => {
    const element = frame.current;
    if (!element) return;
    const watch = new ResizeObserver(([entry]) => { if (entry) setRoom(Math.max(entry.contentRect.width, 200)); });
    watch.observe(element);
    return () => watch.disconnect();
  }, []);
  // While something is dragged the frame stands still, so that the yard does not move under the pointer.
  const held = useRef<{ box: Box; x: number; y: number; east: number; north: number; thing: Thing; corner: number | undefined } | null>(null);
  const [width, depth] = size(doc);
  const whole = bounds(doc, things);
  const edge = room < NARROW_PX ? Math.max(width, depth) / 6 : Infinity;
  const box = held.current?.box ?? {
    x0: Math.max(whole.x0, -edge), y0: Math.max(whole.y0, -edge), x1: Math.min(whole.x1, width + edge), y1: Math.min(whole.y1, depth + edge),
  };
  const high = props.mostHeight ?? 560;
  const k = Math.min((room - 2 * MARGIN) / (box.x1 - box.x0), (high - 2 * MARGIN) / (box.y1 - box.y0));
  const scale: Scale = { k, x: (ft) => MARGIN + (ft - box.x0) * k, y: (ft) => MARGIN + (box.y1 - ft) * k };
  const told = say("page.draw.picture", { width, depth, side: sideAt(upward(doc)) });
  const [w, h] = [2 * MARGIN + (box.x1 - box.x0) * k, 2 * MARGIN + (box.y1 - box.y0) * k];

  const down = (event: JSX.TargetedPointerEvent<SVGElement>, thing: Thing, corner?: number): void => {
    if (event.button !== 0) return;
    event.stopPropagation();
    onSelect?.(thing);
    if (!onMove) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    held.current = { box, x: event.clientX, y: event.clientY, east: 0, north: 0, thing, corner };
  };
  const move = (event: JSX.TargetedPointerEvent<SVGElement>): void => {
    const now = held.current;
    if (!now) return;
    // Whole feet, whatever the pointer does in between.
    const east = Math.round((event.clientX - now.x) / k);
    const north = Math.round((now.y - event.clientY) / k);
    if (east === now.east && north === now.north) return;
    onMove?.(now.thing, east - now.east, north - now.north, now.corner);
    held.current = { ...now, east, north };
  };
  const up = (): void => {
    if (!held.current) return;
    held.current = null;
    onDrop?.();
  };
  const key = (event: JSX.TargetedKeyboardEvent<SVGElement>, thing: Thing, corner?: number): void => {
    const step = ARROWS[event.key];
    if (step && onMove) {
      event.preventDefault();
      const far = event.shiftKey ? 5 : 1;
      onMove(thing, step[0] * far, step[1] * far, corner);
    } else if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      onSelect?.(thing);
    } else if ((event.key === "Delete" || event.key === "Backspace") && onRemove && corner === undefined) {
      event.preventDefault();
      onRemove(thing);
    }
  };
  const grip = (thing: Thing, corner?: number): JSX.SVGAttributes<SVGGElement> => ({
    onPointerDown: (event) => down(event, thing, corner),
    onPointerMove: move, onPointerUp: up, onPointerCancel: up,
    onKeyDown: (event) => key(event, thing, corner),
  });

  return (
    <div class="picture" ref={frame}>
      <svg width={w} height={h} viewBox={`0 0 ${w} ${h}`} role="group" aria-label={props.title ? `${props.title}. ${told}` : told}>
        <defs>
          <pattern id="roof" width="8" height="8" patternUnits="userSpaceOnUse"><path d="M0 8L8 0" class="thin" /></pattern>
          <pattern id="off" width="10" height="10" patternUnits="userSpaceOnUse"><path d="M2 5h6M5 2v6" class="thin" /></pattern>
        </defs>
        <rect class="ground" x={scale.x(0)} y={scale.y(depth)} width={width * k} height={depth * k} />
        <Compass doc={doc} scale={scale} box={box} />
        {things.filter((t) => t.kind !== "trap").map((thing) => <Still key={thing.id} thing={thing} scale={scale} />)}
        {props.layer?.(scale)}
        <Labels things={things} ground={{ form: "box", x: 0, y: 0, width, depth }} scale={scale} selected={props.selected ?? null} right={w} bottom={h} />
        {things.map((thing) => {
          if (!thing.shape || !props.movable?.(thing)) return null;
          const chosen = thing.id === props.selected;
          return (
            <g key={thing.id} class={chosen ? "thing chosen" : "thing"} tabindex={0} role="button" aria-pressed={chosen}
              aria-label={props.describe?.(thing) ?? thing.name} data-thing={thing.id} {...grip(thing)}>
              <Grip shape={thing.shape} scale={scale} />
              {thing.kind === "trap" ? <TrapMark x={scale.x(middle(thing.shape)[0])} y={scale.y(middle(thing.shape)[1])} /> : null}
            </g>
          );
        })}
        {things.filter((thing) => thing.id === props.selected && props.movable?.(thing)).map((thing) => {
          const ends = corners(thing.part);
          if (ends.length < 2) return null;
          return ends.map((end, i) => (
            <g key={`${thing.id}/${i}`} class="end" tabindex={0} role="button" aria-label={say("page.draw.end", { n: i + 1, name: thing.name })} {...grip(thing, i)}>
              <circle class="reach" cx={scale.x(end.x)} cy={scale.y(end.y)} r={14} />
              <rect x={scale.x(end.x) - 6} y={scale.y(end.y) - 6} width="12" height="12" />
            </g>
          ));
        })}
      </svg>
    </div>
  );
}

/** A thing as it stands. */
function Still({ thing, scale }: { thing: Thing; scale: Scale }): JSX.Element | null {
  const { shape, kind } = thing;
  if (!shape) return null;
  if (shape.form === "plants") {
    const r = Math.max(shape.canopy * scale.k, 3);
    return <g class={kind}>{shape.plants.map(([x, y], i) => <circle key={i} cx={scale.x(x)} cy={scale.y(y)} r={r} />)}</g>;
  }
  if (shape.form === "point") {
    return <g class={kind}><path d={`M${scale.x(shape.x) - 5} ${scale.y(shape.y) - 5}l10 10m0 -10l-10 10`} /></g>;
  }
  const what = `${kind} ${kind === "structure" ? String(thing.part["kind"] ?? "other") : ""}`;
  return <g class={what}><Outline shape={shape} scale={scale} /></g>;
}

/** Names in the order in which they get room. */
const NAMED: Kind[] = ["trap", "crop", "theirs", "structure", "source", "neighbor", "keep-off", "spot"];
/** Their names stand inside them. */
const AREAS = new Set<Kind>(["neighbor", "keep-off", "source"]);
const LETTER_PX = 7.4;
const LINE_PX = 15;

/** What a name had better not stand on: things as they are drawn, and the lines of plots. */
function inTheWay(things: Thing[], ground: Shape & { form: "box" }, scale: Scale): Box[] {
  const drawn = (shape: Shape, grow: number): Box => {
    const { x0, y0, x1, y1 } = extent(shape);
    return { x0: scale.x(x0) - grow, y0: scale.y(y1) - grow, x1: scale.x(x1) + grow, y1: scale.y(y0) + grow };
  };
  const lines = (shape: Shape): Box[] => {
    const { x0, y0, x1, y1 } = drawn(shape, 0);
    return [{ x0, y0, x1, y1: y0 }, { x0, y0: y1, x1, y1 }, { x0, y0, x1: x0, y1 }, { x0: x1, y0, x1, y1 }];
  };
  return [
    ...lines(ground),
    ...things.flatMap(({ shape, kind }) => {
      if (!shape) return [];
      return AREAS.has(kind) ? lines(shape) : [drawn(shape, shape.form === "point" ? 3 : 0)];
    }),
  ];
}

/** The names of things, as far as they fit without covering each other, where they hide least; the chosen one first. */
function Labels({ things, ground, scale, selected, right, bottom }: { things: Thing[]; ground: Shape & { form: "box" }; scale: Scale; selected: string | null; right: number; bottom: number }): JSX.Element {
  const taken: Box[] = [];
  const marks = inTheWay(things, ground, scale);
  const order = (thing: Thing): number => (thing.id === selected ? -1 : NAMED.indexOf(thing.kind));
  const texts = [...things].sort((a, b) => order(a) - order(b)).map((thing) => {
    const { shape, name, kind } = thing;
    if (!shape || name === "") return null;
    const half = (Math.min(name.length, 40) * LETTER_PX) / 2;
    const [east, north] = middle(shape);
    const [x, y] = [scale.x(east), scale.y(north)];
    if (x < 0 || x > right || y < 0 || y > bottom) return null;
    const { x0, y0, x1, y1 } = extent(shape);
    const [wide, tall] = shape.form === "point" ? [12, 12] : [((x1 - x0) / 2) * scale.k, ((y1 - y0) / 2) * scale.k];
    // A name stays in the plot of what it names, if it can; else in the picture.
    const within = (from: number, to: number): number => (to - from < 2 * half ? x : Math.min(Math.max(x, from + half), to - half));
    const inYard = east >= ground.x && east <= ground.x + ground.width;
    const across = inYard ? within(scale.x(ground.x) + 4, scale.x(ground.x + ground.width) - 4) : x;
    const area = AREAS.has(kind);
    const rows = area ? [y - tall + LINE_PX, y + 4, y + tall - 6, y - tall - 5, y + tall + LINE_PX - 2] : [y - tall - 5, y + tall + LINE_PX - 2];
    const spots = [across, x].flatMap((at) => rows.map((low): [number, number] => [at, low]));
    spots.push([x + wide + half + 3, y + 4], [x - wide - half - 3, y + 4]);
    let best: { spot: [number, number]; box: Box; hides: number } | null = null;
    for (const [at, low] of spots) {
      const left = Math.min(Math.max(at, half + 2), right - half - 2);
      const box = { x0: left - half, x1: left + half, y0: low - LINE_PX + 3, y1: low + 3 };
      const meets = (t: Box): boolean => box.x0 < t.x1 && t.x0 < box.x1 && box.y0 < t.y1 && t.y0 < box.y1;
      if (taken.some(meets) || box.y0 <= 0 || box.y1 >= bottom) continue;
      const leaves = inYard && (box.x0 < scale.x(ground.x) || box.y0 < scale.y(ground.y + ground.depth) || box.x1 > scale.x(ground.x + ground.width) || box.y1 > scale.y(ground.y));
      const hides = marks.filter(meets).length + (leaves ? 2 : 0);
      if (!best || hides < best.hides) best = { spot: [left, low], box, hides };
    }
    if (!best) return null;
    taken.push(best.box);
    return <text key={thing.id} class={area || kind === "spot" ? "small" : ""} x={best.spot[0]} y={best.spot[1]}>{name.length > 40 ? `${name.slice(0, 39)}…` : name}</text>;
  });
  return <g class="names" aria-hidden="true">{texts}</g>;
}

function Outline({ shape, scale, grow = 0 }: { shape: Shape; scale: Scale; grow?: number }): JSX.Element | null {
  if (shape.form === "box") {
    return (
      <rect x={scale.x(shape.x) - grow} y={scale.y(shape.y + shape.depth) - grow}
        width={shape.width * scale.k + 2 * grow} height={shape.depth * scale.k + 2 * grow} />
    );
  }
  return shape.form === "disc" ? <circle cx={scale.x(shape.x)} cy={scale.y(shape.y)} r={shape.radius * scale.k + grow} /> : null;
}

/** What a finger or pointer takes hold of, and what shows that a thing is chosen. */
function Grip({ shape, scale }: { shape: Shape; scale: Scale }): JSX.Element | null {
  if (shape.form === "plants") {
    const xs = shape.plants.map((p) => scale.x(p[0]));
    const ys = shape.plants.map((p) => scale.y(p[1]));
    const r = Math.max(shape.canopy * scale.k + 4, FINGER - 8);
    const [x, y] = [Math.min(...xs) - r, Math.min(...ys) - r];
    return <rect class="reach" x={x} y={y} width={Math.max(...xs) + r - x} height={Math.max(...ys) + r - y} rx={r} />;
  }
  if (shape.form === "point") return <circle class="reach" cx={scale.x(shape.x)} cy={scale.y(shape.y)} r={FINGER} />;
  return <g class="reach"><Outline shape={shape} scale={scale} grow={2} /></g>;
}

export function TrapMark({ x, y, open = false }: { x: number; y: number; open?: boolean }): JSX.Element {
  return <path class={open ? "trap open" : "trap"} d={`M${x} ${y - 11}l10 18h-20z`} />;
}

/** North, an arrow the way the wind blows, and arrows at the side that most insects come over. */
function Compass({ doc, scale, box }: { doc: Part; scale: Scale; box: Box }): JSX.Element {
  const [x, y] = [scale.x(box.x1) + 15, scale.y(box.y1) - 8];
  const up = upward(doc);
  const [width, depth] = size(doc);
  const [wind, side] = [["wind", "usually_from"], ["surroundings", "arrivals_from", "side"]].map((path) => {
    const bearing = degrees(at(doc, path));
    return bearing === null ? null : bearing - up;
  });
  const turn = ((side ?? 0) * Math.PI) / 180;
  const [east, north] = [Math.sin(turn), Math.cos(turn)];
  return (
    <g class="compass" aria-hidden="true">
      <g transform={`translate(${x} ${y + 5}) rotate(${-up})`}>
        <path d="M0 16v-17m-4 6l4 -7l4 7" />
        <text transform={`translate(0 -10) rotate(${up})`} y="4">{say("page.draw.north")}</text>
      </g>
      {wind == null ? null : (
        <g transform={`translate(${scale.x(box.x0) + 12} ${y - 6})`}>
          <g transform={`rotate(${wind + 180})`}><path d="M0 9v-18m-5 7l5 -8l5 8M-4 9h8" /></g>
          <text class="start" x="15" y="4">{say("page.draw.wind")}</text>
        </g>
      )}
      {side == null ? null : [-0.25, 0, 0.25].map((share) => {
        const cx = width / 2 + (east * width) / 2 + share * north * width;
        const cy = depth / 2 + (north * depth) / 2 - share * east * depth;
        return <g key={share} transform={`translate(${scale.x(cx)} ${scale.y(cy)}) rotate(${side})`}><path class="comes" d="M-6 -12l6 8l6 -8M-6 -5l6 8l6 -8" /></g>;
      })}
    </g>
  );
}
