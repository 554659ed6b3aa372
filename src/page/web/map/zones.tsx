// The map over the picture of the yard: color for the change, marks for the class, so that each says it alone.

import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import { say } from "../say";
import type { Scale } from "../yard/picture";
import type { Thing } from "../yard/things";
import { OPEN, ofHundred, spotOf, zoneKey, zoneWord, type Site, type Zone, type ZoneMap } from "./places";

/** Least damage to most, the colors of the program's own maps. */
const SHADES = ["#542788", "#8073ac", "#b2abd2", "#d8daeb", "#f7f7f7", "#fee0b6", "#fdb863", "#e08214", "#b35806"];
const ENDS = [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
const GAP_PX = 24;

/** The change that the darkest colors stand for. */
export function scaleEnd(map: ZoneMap): number {
  const most = Math.max(...map.change.map((change, i) => (map.zone[i] === "closed" ? 0 : Math.abs(change))), 0);
  return ENDS.find((end) => most <= end) ?? most;
}

const shadeAt = (change: number, end: number): number =>
  Math.min(Math.max(Math.round(((change / end + 1) / 2) * (SHADES.length - 1)), 0), SHADES.length - 1);

export function ZoneMark({ zone, x, y, r = 4 }: { zone: Zone; x: number; y: number; r?: number }): JSX.Element | null {
  if (zone === "closed") return null;
  if (zone === "lowers") return <circle class="ring" cx={x} cy={y} r={r} />;
  if (zone === "no-difference") return <circle class="speck" cx={x} cy={y} r={r * 0.45} />;
  const rise = `M${x - r} ${y + r}l${2 * r} ${-2 * r}`;
  return zone === "either-way" ? <path class="stroke" d={rise} /> : <path class="cross" d={`${rise}M${x - r} ${y - r}l${2 * r} ${2 * r}`} />;
}

/** Squares of one color side by side are drawn as one. */
function Cells({ map, scale }: { map: ZoneMap; scale: Scale }): JSX.Element {
  const end = scaleEnd(map);
  const size = map.cell_ft;
  const bars: JSX.Element[] = [];
  for (let row = 0; row < map.rows; row++) {
    const shade = (column: number): number => {
      const i = row * map.columns + column;
      return map.zone[i] === "closed" ? -1 : shadeAt(map.change[i] ?? 0, end);
    };
    for (let from = 0, to = 0; from < map.columns; from = to) {
      const one = shade(from);
      for (to = from + 1; to < map.columns && shade(to) === one; to++);
      const [x, y] = [scale.x(map.x0_ft + from * size), scale.y(map.y0_ft + (row + 1) * size)];
      if (one >= 0) bars.push(<rect key={`${row}/${from}`} x={x} y={y} width={(to - from) * size * scale.k} height={size * scale.k} fill={SHADES[one]} />);
    }
  }
  return <g class="cells">{bars}</g>;
}

function Marks({ map, scale }: { map: ZoneMap; scale: Scale }): JSX.Element {
  const [wide, deep] = [map.columns * map.cell_ft, map.rows * map.cell_ft];
  const [columns, rows] = [wide, deep].map((ft) => Math.max(Math.floor((ft * scale.k) / GAP_PX), 1)) as [number, number];
  return (
    <g class="zone-marks">
      {Array.from({ length: columns * rows }, (_, n) => {
        const [x, y] = [(((n % columns) + 0.5) * wide) / columns, ((Math.floor(n / columns) + 0.5) * deep) / rows];
        const i = Math.floor(y / map.cell_ft) * map.columns + Math.floor(x / map.cell_ft);
        return <ZoneMark key={n} zone={map.zone[i] ?? "closed"} x={scale.x(map.x0_ft + x)} y={scale.y(map.y0_ft + y)} />;
      })}
    </g>
  );
}

interface Props { map: ZoneMap; list: Site[]; plants: Thing[]; scale: Scale; onChoose: (x: number, y: number) => void }

export function Zones({ map, list, plants, scale, onChoose }: Props): JSX.Element {
  const [x0, y0] = [scale.x(0), scale.y(0)];
  // The squares are many and stay the same while a place is chosen.
  const drawn = useMemo(() => <><Cells map={map} scale={scale} /><Marks map={map} scale={scale} /></>, [map, scale.k, x0, y0]);
  const [wide, deep] = [map.columns * map.cell_ft, map.rows * map.cell_ft];
  const choose = (event: JSX.TargetedMouseEvent<SVGRectElement>): void => {
    const frame = event.currentTarget.ownerSVGElement?.getBoundingClientRect();
    if (frame) onChoose((event.clientX - frame.left - x0) / scale.k, (y0 - event.clientY + frame.top) / scale.k);
  };
  return (
    <g class="zones" aria-hidden="true">
      {drawn}
      {plants.map(({ id, shape }) => (shape?.form === "plants" ? (
        <g key={id} class="plants">
          {shape.plants.map(([x, y], i) => {
            const r = Math.max(shape.canopy * scale.k, 3);
            return <g key={i}><circle class="crown" cx={scale.x(x)} cy={scale.y(y)} r={r} /><circle class="stem" cx={scale.x(x)} cy={scale.y(y)} r={r / 3} /></g>;
          })}
        </g>
      ) : null))}
      {list.map((site, i) => {
        const { x, y } = spotOf(site);
        return (
          <g key={i} class="listed">
            <circle cx={scale.x(x)} cy={scale.y(y)} r="9" />
            <text x={scale.x(x)} y={scale.y(y) + 4.5}>{i + 1}</text>
          </g>
        );
      })}
      <rect class="reach" x={scale.x(map.x0_ft)} y={scale.y(map.y0_ft + deep)} width={wide * scale.k} height={deep * scale.k} onClick={choose} />
    </g>
  );
}

/** What marks and colors mean, with how much of the map each class has. */
export function Key({ map, objective }: { map: ZoneMap; objective: string }): JSX.Element {
  const shares = ofHundred(map);
  const end = scaleEnd(map);
  return (
    <div class="map-key">
      <ul>
        {OPEN.map((zone, i) => (objective === "catch" && shares[i] === 0 ? null : (
          <li key={zone}>
            <svg width="24" height="24" viewBox="0 0 24 24" aria-hidden="true"><g class="zone-marks"><ZoneMark zone={zone} x={12} y={12} r={6} /></g></svg>
            <span>{objective === "catch"
              ? say("page.map.share", { zone: zoneWord(zone, objective), n: shares[i] ?? 0 })
              : say(`figure.placement-map.zone.${zoneKey(zone)}`, { n: shares[i] ?? 0 })}</span>
          </li>
        )))}
      </ul>
      <p class="bar-of-colors">
        <span>{say(`page.map.scale.${objective}`)}</span>
        <span aria-hidden="true">−{end}</span>
        <svg width={SHADES.length * 18} height="16" aria-hidden="true">{SHADES.map((shade, i) => <rect key={shade} x={i * 18} width="18" height="16" fill={shade} />)}</svg>
        <span aria-hidden="true">+{end}</span>
        <span class="unseen">{say("page.map.scale.ends", { n: end })}</span>
      </p>
    </div>
  );
}
