/**
 * A workshop as it is, not as the program models it: a machine whose axes have play, a pointer that an eye places, a display
 * that rounds, a panel that is no longer as drawn. Only the job file goes to the program, and only its paths come back.
 *
 *     mark on the bed  = turn and shift of the deformed panel
 *     display          = that place (through the true map) + side of arrival x play / 2 + noise + habit of the eye, rounded
 *     beam             = command - play still to be taken up + true beam offset
 */

import { apply, invert, type Matrix } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import { trueToMachineMatrix } from '../../src/marks/frames.js';
import type { RandomSource } from '../../src/numeric/random.js';
import { checkJob, fitJob, loadJob } from '../../src/reseat.js';
import type { Check } from '../../src/verdict/check-result.js';
import { judgeJob } from '../../src/verdict/job/judge-job.js';

export type Pair = readonly [x: number, y: number];

const panel = `<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="400mm" viewBox="0 0 600 400">
<g id="outline"><rect id="panel" x="0" y="0" width="600" height="400"/></g>
<g id="openings">
<circle id="ring" cx="150" cy="110" r="30"/>
<rect id="slot" x="270" y="190" width="60" height="20"/>
<rect id="tile" x="-20" y="-20" width="40" height="40" transform="translate(500 290) rotate(-15)"/>
</g></svg>`;

/** Corners of the true openings; `dense` so that a bowed panel bows them as well. */
const rectangle = (centre: Point, long: number, wide: number, degrees: number): Point[] => {
  const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  return [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ].map(([i, k]) => {
    const [u, v] = [(i! * long) / 2, (k! * wide) / 2];
    return { x: centre.x + c * u - s * v, y: centre.y + s * u + c * v };
  });
};

interface Opening {
  /** Counter-clockwise. */
  readonly corners: readonly Point[];
  readonly isRound: boolean;
}

const circlePoints = 180;
const openings: readonly Opening[] = [
  {
    corners: Array.from({ length: circlePoints }, (_, i) => {
      const angle = (2 * Math.PI * i) / circlePoints;
      return { x: 150 + 30 * Math.cos(angle), y: 290 + 30 * Math.sin(angle) };
    }),
    isRound: true,
  },
  { corners: rectangle({ x: 300, y: 200 }, 60, 20, 0), isRound: false },
  { corners: rectangle({ x: 500, y: 110 }, 40, 40, 15), isRound: false },
];

export interface Workshop {
  readonly marks: Readonly<Record<string, Pair>>;
  readonly repeats?: number;
  /** Degrees. */
  readonly turn: number;
  readonly at: Point;
  /** True sd of the eye at one reading, before rounding. */
  readonly sd: number;
  readonly markSd?: number;
  /** The same at every mark. */
  readonly bias?: Point;
  /** Of the display; 0: none (figures are typed to 0.001). */
  readonly step?: number;
  /** Play of the axes, mm. */
  readonly play?: Pair;
  /** Side of arrival of each reading. */
  readonly side?: (mark: number) => Pair;
  readonly dotsRead?: Pair;
  readonly dotsBurnt?: Pair;
  readonly offset?: Point;
  readonly playInCut?: boolean;
  /** Design -> design as it is now. */
  readonly deformed?: (p: Point) => Point;
  /** Display -> true bed, less the identity: [ex, -g, 0, ey]. */
  readonly map?: readonly [ex: number, g: number, ey: number];
}

export interface Stated {
  readonly machine?: string;
  readonly fit: string;
  readonly check?: string;
  readonly clearance: number;
  /** Of reading i, for `direction`. */
  readonly direction?: (mark: number) => Pair;
}

export interface Outcome {
  readonly check: Check;
  readonly told: boolean;
  /** The clearance at which the new edge just touches. */
  readonly approach: number;
}

const places = (shop: Workshop): Matrix => {
  const [c, s] = [Math.cos((shop.turn * Math.PI) / 180), Math.sin((shop.turn * Math.PI) / 180)];
  return [c, s, -s, c, shop.at.x, shop.at.y];
};

const mapOf = ({ map: [ex, g, ey] = [0, 0, 0] }: Workshop): Matrix => [1 + ex, 0, -g, 1 + ey, 0, 0];

const asIs = (p: Point): Point => p;

const readingsOf = (random: RandomSource, shop: Workshop, stated: Stated): string[] => {
  const { repeats = 1, sd, markSd = 0, bias = { x: 0, y: 0 }, step = 0, play = [0, 0] } = shop;
  const toDisplay = invert(mapOf(shop))!;
  const placed = places(shop);
  const decimals = step === 0 ? 3 : 2;
  const shown = (value: number): string => {
    const rounded = step === 0 ? value : step * Math.round(value / step);
    return rounded
      .toFixed(decimals)
      .replace(/(\.\d*?)0+$/, '$1')
      .replace(/\.$/, '');
  };
  return Object.entries(shop.marks).map(([name, [x, y]], i) => {
    const drilled = { x: x + markSd * random.normal(), y: y + markSd * random.normal() };
    const at = apply(placed, (shop.deformed ?? asIs)(drilled));
    const read = Array.from({ length: repeats }, () => {
      const [sx, sy] = shop.side?.(i) ?? [0, 0];
      const p = apply(toDisplay, { x: at.x, y: at.y });
      const u = p.x + (sx * play[0]) / 2 + sd * random.normal() + bias.x;
      const v = p.y + (sy * play[1]) / 2 + sd * random.normal() + bias.y;
      const words = stated.direction?.(i).map((side) => (side > 0 ? 'up' : 'down'));
      const pair = `[${shown(u)}, ${shown(v)}]`;
      return words === undefined ? pair : `{at: ${pair}, direction: [${words.join(', ')}]}`;
    });
    return `  ${name}: [${read.join(', ')}]`;
  });
};

/** Where the beam goes: the true place follows the command only when pushed. From a state that a rapid move left behind. */
const beamPath = (random: RandomSource, commands: readonly Point[], play: Pair): Point[] => {
  let state: [number, number] = [
    (random.uniform() < 0.5 ? -1 : 1) * (play[0] / 2),
    (random.uniform() < 0.5 ? -1 : 1) * (play[1] / 2),
  ];
  const path: Point[] = [{ x: commands[0]!.x - state[0], y: commands[0]!.y - state[1] }];
  const moved = (part: number, d: number, from: number, half: number): number =>
    Math.max(-half, Math.min(half, from + part * d));
  for (let i = 0; i < commands.length; i++) {
    const a = commands[i]!;
    const b = commands[(i + 1) % commands.length]!;
    const d = [b.x - a.x, b.y - a.y] as const;
    const stops = [1];
    for (const axis of [0, 1] as const) {
      const left = (Math.sign(d[axis]) * play[axis]) / 2 - state[axis];
      const part = d[axis] === 0 ? 2 : left / d[axis];
      if (part > 0 && part < 1) stops.push(part);
    }
    const start = state;
    for (const part of stops.sort((p, q) => p - q)) {
      state = [moved(part, d[0], start[0], play[0] / 2), moved(part, d[1], start[1], play[1] / 2)];
      path.push({ x: a.x + part * d[0] - state[0], y: a.y + part * d[1] - state[1] });
    }
  }
  return path;
};

/** Parallel to the corners' edges at the clearance, mitred; round: the circle's own points farther out. */
const setBack = ({ corners, isRound }: Opening, fit: Matrix, clearance: number): Point[] => {
  const ring = corners.map((p) => apply(fit, p));
  const count = ring.length;
  if (isRound) {
    const x = ring.reduce((sum, p) => sum + p.x, 0) / count;
    const y = ring.reduce((sum, p) => sum + p.y, 0) / count;
    return ring.map((p) => {
      const size = Math.hypot(p.x - x, p.y - y);
      const factor = (size + clearance) / size;
      return { x: x + factor * (p.x - x), y: y + factor * (p.y - y) };
    });
  }
  const normals = ring.map((a, i) => {
    const b = ring[(i + 1) % count]!;
    const size = Math.hypot(b.x - a.x, b.y - a.y);
    return { x: (b.y - a.y) / size, y: -(b.x - a.x) / size };
  });
  return ring.map((p, i) => {
    const m = normals[(i + count - 1) % count]!;
    const n = normals[i]!;
    const scale = clearance / (1 + m.x * n.x + m.y * n.y);
    return { x: p.x + scale * (m.x + n.x), y: p.y + scale * (m.y + n.y) };
  });
};

const holds = (ring: readonly Point[], p: Point): boolean => {
  let inside = false;
  let a = ring[ring.length - 1]!;
  for (const b of ring) {
    if (a.y > p.y !== b.y > p.y && p.x < a.x + ((p.y - a.y) / (b.y - a.y)) * (b.x - a.x)) inside = !inside;
    a = b;
  }
  return inside;
};

const densely = ({ corners, isRound }: Opening): Point[] =>
  isRound
    ? [...corners]
    : corners.flatMap((a, i) => {
        const b = corners[(i + 1) % corners.length]!;
        return [0, 0.25, 0.5, 0.75].map((t) => ({ x: a.x + t * (b.x - a.x), y: a.y + t * (b.y - a.y) }));
      });

/** The clearance at which the beam's edge just touches an edge that is there; to 1e-4 mm. */
const approachOf = (random: RandomSource, shop: Workshop, fit: Matrix, toMachine: Matrix): number => {
  const placed = places(shop);
  const { x: ox, y: oy } = shop.offset ?? { x: 0, y: 0 };
  const map = mapOf(shop);
  const play: Pair = shop.playInCut ? (shop.play ?? [0, 0]) : [0, 0];
  const seed = random.bits();
  return Math.max(
    ...openings.map((opening, k) => {
      const existing = densely(opening).map((p) => apply(placed, (shop.deformed ?? asIs)(p)));
      const isBackwards = ((seed >> k) & 1) === 1;
      const touches = (clearance: number): boolean => {
        const wanted = setBack(opening, fit, clearance).map((p) => apply(toMachine, p));
        // The same rapid move before it at every clearance tried.
        let bit = 8 + 2 * k;
        const fixed = { ...random, uniform: () => ((seed >> bit++) & 1) / 2 + 0.25 };
        const commands = isBackwards ? [wanted[0]!, ...wanted.slice(1).reverse()] : wanted;
        const edge = beamPath(fixed, commands, play).map((p) => apply(map, { x: p.x + ox, y: p.y + oy }));
        return existing.some((p) => !holds(edge, p)) || edge.some((p) => holds(existing, p));
      };
      let [low, high] = [0, 1.6];
      while (high - low > 1e-4) {
        const middle = (low + high) / 2;
        if (touches(middle)) low = middle;
        else high = middle;
      }
      return high;
    }),
  );
};

const files = {
  read: (path: string) => (path === 'panel.svg' ? new TextEncoder().encode(panel) : undefined),
};

/** What the dots of the beam offset show by the sides they were burnt and read from. */
export const offsetShown = ({
  offset = { x: 0, y: 0 },
  play = [0, 0],
  dotsRead,
  dotsBurnt,
}: Workshop): string => {
  const of = (axis: 0 | 1, value: number): string =>
    (value + (((dotsRead?.[axis] ?? 0) - (dotsBurnt?.[axis] ?? 0)) * play[axis]) / 2).toFixed(4);
  return `[${of(0, offset.x)}, ${of(1, offset.y)}]`;
};

const jobText = (random: RandomSource, shop: Workshop, stated: Stated): string => `drawing: panel.svg
marks:
${Object.entries(shop.marks)
  .map(([name, at]) => `  ${name}: [${at.join(', ')}]`)
  .join('\n')}
readings:
${readingsOf(random, shop, stated).join('\n')}
machine: ${stated.machine ?? '{axes: y-up}'}
fit: ${stated.fit}
cut: {kind: opening, clearance: ${stated.clearance.toFixed(4)}, corners: mitre, kerf: 0}
check: ${stated.check ?? '{}'}
`;

export const runJob = (random: RandomSource, shop: Workshop, stated: Stated): Outcome => {
  const loaded = loadJob({ path: 'job.yaml', text: jobText(random, shop, stated) }, files);
  const fitted = fitJob(loaded);
  const { outcome, warnings } = fitted;
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  const { fit } = outcome;
  // As `check` and `cut` say it, but without advice.
  const check = judgeJob(loaded, fitted, fit, warnings, [], { onlyNearest: true, brief: true });
  return {
    check,
    told: warnings.some(({ code }) => code === 'marks-disagree'),
    approach: approachOf(random, shop, fit.matrix, trueToMachineMatrix(loaded.job.machine)),
  };
};

/** The same without a verdict: with a known sd the needed clearance of a place hangs on readings only where they disagree. */
export const fitAlone = (
  random: RandomSource,
  shop: Workshop,
  stated: Stated,
): { readonly approach: number; readonly agrees: boolean; readonly needed: () => number } => {
  const loaded = loadJob({ path: 'job.yaml', text: jobText(random, shop, stated) }, files);
  const { outcome } = fitJob(loaded);
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  const { fit } = outcome;
  return {
    approach: approachOf(random, shop, fit.matrix, trueToMachineMatrix(loaded.job.machine)),
    agrees: fit.consistency?.consistent !== false,
    needed: () => {
      const checked = checkJob(loaded);
      return checked.ok ? checked.check.neededClearance! : Number.POSITIVE_INFINITY;
    },
  };
};
