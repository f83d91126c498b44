/**
 * A finished piece: the gap as a band round each opening, drawn larger, and for the openings with
 * the least gaps as a curve along their edges, with what was measured. In the drawing's frame, y
 * up.
 */

import { adjustedGap } from '../../inspect/cut-error.js';
import { type EdgePlace, placeOn, type Stretch, type Walk } from '../../inspect/edge-walk.js';
import type { Inspection } from '../../inspect/inspection.js';
import type { SeenGap } from '../../inspect/scanned/scan-gaps.js';
import { fixed } from '../text/layout.js';
import { palette } from './signs.js';
import { element, writing } from './svg-text.js';

export interface InspectionInPicture {
  readonly inspection: Inspection;
  readonly walk: Walk;
  readonly title: string;
  readonly expected: (place: EdgePlace) => number;
  /** Of a scan: what was seen at each stretch. */
  readonly seen?: readonly SeenGap[];
  /** Of the picture, units. */
  readonly width: number;
}

/**
 * The clearance is drawn as wide as this share of the panel's diagonal, at least as wide as it is.
 */
const shownShare = 0.008;
const mostCurves = 6;
const curveHeight = 110;
const colours = {
  edge: palette.ink,
  band: palette.film,
  across: palette.error,
  far: palette.quiet,
  point: palette.ink,
  meant: palette.quiet,
};
/** Bands are drawn in steps of at most this, mm. */
const step = 1.5;

interface BandPlace {
  readonly place: EdgePlace;
  readonly gap: number;
  readonly along: number;
  readonly ring: number;
}

export const inspectionPictureSvg = (input: InspectionInPicture): string => {
  const { inspection, width, title } = input;
  const places = bandPlaces(input);
  const box = boxOf(places);
  const diagonal = Math.hypot(box.maxX - box.minX, box.maxY - box.minY);
  const larger = Math.max(1, (shownShare * diagonal) / Math.max(1e-6, inspection.clearance));
  const margin = 2.5 * larger * inspection.clearance;
  const scale = width / (box.maxX - box.minX + 2 * margin);
  const height = scale * (box.maxY - box.minY + 2 * margin);
  const x = (v: number): number => scale * (v - box.minX + margin);
  const y = (v: number): number => height - scale * (v - box.minY + margin);
  const size = Math.max(11, width / 80);
  const head = 2.6 * size;
  const plan: string[] = [];
  for (const run of runsOf(places)) plan.push(...bandParts(run, inspection.clearance, larger, x, y));
  const labels = inspection.least.map(({ opening, gap }) => {
    const own = places.filter(({ place }) => place.opening === opening);
    if (own.length === 0) return '';
    const mx = own.reduce((s, { place }) => s + place.drawn.x, 0) / own.length;
    const my = own.reduce((s, { place }) => s + place.drawn.y, 0) / own.length;
    return writing(x(mx), y(my), `${opening} ${fixed(gap, 2)}`, {
      'font-family': 'sans-serif',
      'font-size': 0.8 * size,
      'text-anchor': 'middle',
      fill: gap < 0 ? colours.across : colours.edge,
    });
  });
  const worst = [...inspection.least].sort((a, b) => a.gap - b.gap).slice(0, mostCurves);
  const curves = worst.flatMap(({ opening }, i) =>
    curveParts(input, opening, places, {
      top: head + height + 2 * size + i * (curveHeight + 2 * size),
      size,
    }),
  );
  const whole = head + height + 2 * size + worst.length * (curveHeight + 2 * size) + size;
  const note = `Gaps ${fixed(larger, 0)} times larger; dashed: where the new edge was meant to be; red-brown: it lies across the existing one; dark grey: more than twice the clearance`;
  return element(
    'svg',
    { xmlns: 'http://www.w3.org/2000/svg', width, height: whole, viewBox: `0 0 ${width} ${whole}` },
    element('rect', { x: 0, y: 0, width, height: whole, fill: palette.paper }),
    writing(size, 1.2 * size, title, {
      'font-family': 'sans-serif',
      'font-size': size,
      'font-weight': 'bold',
    }),
    writing(size, 2.3 * size, note, { 'font-family': 'sans-serif', 'font-size': 0.8 * size }),
    element('g', { transform: `translate(0 ${head})` }, ...plan, ...labels),
    ...curves,
  );
};

const bandPlaces = ({ inspection, walk, expected }: InspectionInPicture): BandPlace[] => {
  const at = (stretch: Stretch, t: number): BandPlace => {
    const place = placeOn(walk, stretch, t);
    const gap = adjustedGap(place, expected(place), inspection.error);
    return { place, gap, along: stretch.from + t * stretch.length, ring: stretch.ring };
  };
  return walk.stretches.flatMap((stretch) => {
    const parts = Math.max(1, Math.ceil(stretch.length / step));
    return Array.from({ length: parts + 1 }, (_, k) => at(stretch, k / parts));
  });
};

const boxOf = (places: readonly BandPlace[]) => {
  const box = { minX: Infinity, minY: Infinity, maxX: -Infinity, maxY: -Infinity };
  for (const { place } of places) {
    box.minX = Math.min(box.minX, place.drawn.x);
    box.maxX = Math.max(box.maxX, place.drawn.x);
    box.minY = Math.min(box.minY, place.drawn.y);
    box.maxY = Math.max(box.maxY, place.drawn.y);
  }
  return box;
};

/** Places that follow one another without a corner between them. */
const runsOf = (places: readonly BandPlace[]): BandPlace[][] => {
  const runs: BandPlace[][] = [];
  for (const one of places) {
    const run = runs.at(-1);
    const last = run?.at(-1);
    const { x, y } = one.place.normal;
    const follows =
      last !== undefined &&
      last.ring === one.ring &&
      last.place.normal.x * x + last.place.normal.y * y > 0.99 &&
      Math.abs(last.along - one.along) < 1e-6 + 2 * step;
    if (follows) run!.push(one);
    else runs.push([one]);
  }
  return runs;
};

/** The same direction in the drawing: a place a hair along the normal, taken back. */
const drawnNormal = (run: readonly BandPlace[], i: number): { x: number; y: number } => {
  const a = run[Math.max(0, i - 1)]!;
  const b = run[Math.min(run.length - 1, i + 1)]!;
  // Square to the edge as it is drawn, to the side on which the bed's normal lies from the edge on
  // the bed.
  const [tx, ty] = [b.place.drawn.x - a.place.drawn.x, b.place.drawn.y - a.place.drawn.y];
  const [bx, by] = [b.place.at.x - a.place.at.x, b.place.at.y - a.place.at.y];
  const { normal } = run[i]!.place;
  const isLeft = bx * normal.y - by * normal.x > 0;
  const size = Math.hypot(tx, ty) || 1;
  return isLeft ? { x: -ty / size, y: tx / size } : { x: ty / size, y: -tx / size };
};

const bandParts = (
  run: readonly BandPlace[],
  clearance: number,
  larger: number,
  x: (v: number) => number,
  y: (v: number) => number,
): string[] => {
  if (run.length < 2) return [];
  const point = (i: number, out: number): string => {
    const { drawn } = run[i]!.place;
    const n = drawnNormal(run, i);
    return `${x(drawn.x + larger * out * n.x).toFixed(2)},${y(drawn.y + larger * out * n.y).toFixed(2)}`;
  };
  const parts: string[] = [];
  const kindOf = (gap: number): 'across' | 'far' | 'band' =>
    gap < 0 ? 'across' : gap > 2 * clearance ? 'far' : 'band';
  for (let i = 0; i + 1 < run.length; ) {
    const kind = kindOf(run[i]!.gap);
    let j = i + 1;
    while (j + 1 < run.length && kindOf(run[j]!.gap) === kind) j += 1;
    const inner: string[] = [];
    const outer: string[] = [];
    for (let k = i; k <= j; k += 1) {
      inner.push(point(k, 0));
      outer.push(point(k, run[k]!.gap));
    }
    parts.push(
      element('polygon', {
        points: [...inner, ...outer.reverse()].join(' '),
        fill: colours[kind],
        'fill-opacity': 0.7,
      }),
    );
    i = j;
  }
  const line = (out: (k: number) => number): string => run.map((_, k) => point(k, out(k))).join(' ');
  parts.push(
    element('polyline', { points: line(() => 0), fill: 'none', stroke: colours.edge, 'stroke-width': 1.2 }),
    element('polyline', {
      points: line(() => clearance),
      fill: 'none',
      stroke: colours.meant,
      'stroke-width': 0.7,
      'stroke-dasharray': '4 3',
    }),
  );
  return parts;
};

const curveParts = (
  { inspection, walk, seen, width }: InspectionInPicture,
  opening: string,
  places: readonly BandPlace[],
  { top, size }: { top: number; size: number },
): string[] => {
  const own = places.filter(({ place }) => place.opening === opening);
  const measured =
    seen === undefined
      ? inspection.gaps.map(({ place, gap }) => ({ place, gap }))
      : seen.map(({ place, gap }) => ({ place, gap }));
  const points = measured
    .filter(({ place }) => place.opening === opening)
    .map(({ place, gap }) => ({ gap, along: alongOf(walk, place) }));
  const rings = [...new Set(own.map(({ ring }) => ring))];
  // Rings of one opening one behind the other.
  const starts = new Map<number, number>();
  let whole = 0;
  for (const ring of rings) {
    starts.set(ring, whole);
    whole += walk.rings[ring]!.length;
  }
  const gaps = [...own.map(({ gap }) => gap), ...points.map(({ gap }) => gap), 0, inspection.clearance];
  const low = Math.min(...gaps);
  const high = Math.max(...gaps);
  const room = 0.08 * (high - low || 1);
  const left = 5 * size;
  const wide = width - left - size;
  const px = (ring: number, along: number): number => left + (wide * (starts.get(ring)! + along)) / whole;
  const py = (gap: number): number => top + curveHeight * (1 - (gap - low + room) / (high - low + 2 * room));
  const level = (gap: number, text: string, colour: string): string[] => [
    element('line', {
      x1: left,
      x2: left + wide,
      y1: py(gap),
      y2: py(gap),
      stroke: colour,
      'stroke-width': 0.7,
      'stroke-dasharray': gap === 0 ? 'none' : '4 3',
    }),
    writing(left - 4, py(gap) + 0.28 * size, text, {
      'font-family': 'sans-serif',
      'font-size': 0.75 * size,
      'text-anchor': 'end',
      fill: colour,
    }),
  ];
  return [
    writing(size, top - 0.4 * size, `${opening}: gap along its edge of ${fixed(whole, 0)} mm, mm`, {
      'font-family': 'sans-serif',
      'font-size': 0.85 * size,
    }),
    element('rect', {
      x: left,
      y: top,
      width: wide,
      height: curveHeight,
      fill: 'none',
      stroke: palette.hairline,
    }),
    ...level(0, '0', colours.across),
    ...level(inspection.clearance, fixed(inspection.clearance, 2), colours.meant),
    ...runsOf(own).map((run) =>
      element('polyline', {
        points: run
          .map(({ ring, along, gap }) => `${px(ring, along).toFixed(2)},${py(gap).toFixed(2)}`)
          .join(' '),
        fill: 'none',
        stroke: palette.ink,
        'stroke-width': 1.4,
      }),
    ),
    ...points.map(({ gap, along: { ring, along } }) =>
      element('circle', {
        cx: px(ring, along),
        cy: py(gap),
        r: seen === undefined ? 3 : 1.4,
        fill: colours.point,
      }),
    ),
  ];
};

const alongOf = ({ stretches }: Walk, { index, at }: EdgePlace): { ring: number; along: number } => {
  let best = { ring: 0, along: 0, away: Infinity };
  for (const { index: own, x, y, toX, toY, length, from, ring } of stretches) {
    if (own !== index) continue;
    const t = Math.min(1, Math.max(0, ((at.x - x) * (toX - x) + (at.y - y) * (toY - y)) / length ** 2));
    const away = Math.hypot(at.x - x - t * (toX - x), at.y - y - t * (toY - y));
    if (away < best.away) best = { ring, along: from + t * length, away };
  }
  return best;
};
