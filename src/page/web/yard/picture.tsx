// The drawing of a yard: one picture for drawing it, trying plans and everything else that has a place.

import type { ComponentChildren, JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { say } from "../say";
import { at, type Part } from "../store";
import { degrees, sideAt } from "../words";
import { bounds, corners, middle, size, upward, type Box, type Kind, type Shape, type Thing } from "./things";

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
        <Labels things={things} scale={scale} selected={props.selected ?? null} right={w} bottom={h} />
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
const LETTER_PX = 7.4;
const LINE_PX = 15;

/** The names of things, as far as they fit without covering each other; the chosen one first. */
function Labels({ things, scale, selected, right, bottom }: { things: Thing[]; scale: Scale; selected: string | null; right: number; bottom: number }): JSX.Element {
  const taken: Box[] = [];
  const order = (thing: Thing): number => (thing.id === selected ? -1 : NAMED.indexOf(thing.kind));
  const texts = [...things].sort((a, b) => order(a) - order(b)).map((thing) => {
    const { shape, name, kind } = thing;
    if (!shape || name === "") return null;
    const half = (Math.min(name.length, 40) * LETTER_PX) / 2;
    const [x, y] = middle(shape);
    const tall = shape.form === "plants"
      ? (Math.max(...shape.plants.map((p) => p[1])) - Math.min(...shape.plants.map((p) => p[1]))) / 2 + shape.canopy
      : shape.form === "box" ? shape.depth / 2 : shape.form === "disc" ? shape.radius : 0;
    const over = Math.max(tall * scale.k, shape.form === "point" ? 12 : 4);
    const left = Math.min(Math.max(scale.x(x), half + 2), right - half - 2);
    const inside = kind === "neighbor" || kind === "keep-off" || kind === "source";
    const beside = shape.form === "point" ? [left + half + 12, left - half - 12] : [];
    const rows = inside ? [scale.y(y) - over + LINE_PX, scale.y(y) + 4, scale.y(y) + over - 6] : [scale.y(y) - over - 5, scale.y(y) + over + LINE_PX - 2];
    const spots = [...rows.map((low): [number, number] => [left, low]), ...beside.map((at): [number, number] => [at, scale.y(y) + 4])];
    const around = ([at, low]: [number, number]): Box => ({ x0: at - half, x1: at + half, y0: low - LINE_PX + 3, y1: low + 3 });
    const found = spots.find((spot) => {
      const box = around(spot);
      const clear = !taken.some((t) => box.x0 < t.x1 && t.x0 < box.x1 && box.y0 < t.y1 && t.y0 < box.y1);
      return clear && box.x0 >= 0 && box.x1 <= right && box.y0 > 0 && box.y1 < bottom;
    });
    if (!found) return null;
    taken.push(around(found));
    return <text key={thing.id} class={inside || kind === "spot" ? "small" : ""} x={found[0]} y={found[1]}>{name.length > 40 ? `${name.slice(0, 39)}…` : name}</text>;
  });
  return <g aria-hidden="true">{texts}</g>;
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
