/** How well the writers hold curves as large as a part may be: what their docstrings say. */
import { expect, it } from 'vitest';
import { readDrawing } from '../../src/drawing/read.js';
import type { CutFile } from '../../src/drawing/write/cut-file.js';
import { writeDxf } from '../../src/drawing/write/write-dxf.js';
import { writeSvg } from '../../src/drawing/write/write-svg.js';
import { endOf, positionAt, type Segment } from '../../src/geometry/curve.js';
import { distance, type Point } from '../../src/geometry/point.js';
import { createRandom } from '../../src/numeric/random.js';
import { bytesOf } from './dxf-text.js';

/** Never less than the distance of a point from the nearest of the curves. */
const sampledDistance = (segments: readonly Segment[], p: Point, steps: number): number => {
  let best = Number.POSITIVE_INFINITY;
  for (const s of segments) {
    const away = (t: number): number => distance(positionAt(s, t), p);
    const sampled = Array.from({ length: steps + 1 }, (_, i) => away(i / steps));
    sampled.forEach((here, i) => {
      if (here > (sampled[i - 1] ?? here) || here > (sampled[i + 1] ?? here)) return;
      let [low, high] = [Math.max(0, i - 1) / steps, Math.min(steps, i + 1) / steps];
      for (let k = 0; k < 70; k += 1) {
        const [one, other] = [low + (high - low) / 3, high - (high - low) / 3];
        if (away(one) < away(other)) high = other;
        else low = one;
      }
      best = Math.min(best, here, away((low + high) / 2));
    });
  }
  return best;
};

/** The tip of an ellipse ten thousand times as long as wide hides between samples far apart. */
const distanceFrom = (segments: readonly Segment[], p: Point): number => {
  const found = sampledDistance(segments, p, 60);
  return found < 1e-6 ? found : Math.min(found, sampledDistance(segments, p, 20_000));
};

const pointsOn = (segments: readonly Segment[]): Point[] =>
  segments.flatMap((s) => [0, 0.05, 0.2, 0.4, 0.5, 0.77, 0.9, 1].map((t) => positionAt(s, t)));

const random = createRandom('written bound');
const between = (low: number, high: number): number => low + (high - low) * random.uniform();

/** Of any sweep, from next to none to nearly a whole turn, either way. */
const anySweep = (): number =>
  (random.uniform() < 0.5 ? -1 : 1) *
  (random.uniform() < 0.3 ? 10 ** between(-5, 0) : between(0.01, 2 * Math.PI - 0.01));

const circular = (radius: number, sweep = anySweep()): Segment => {
  const start = between(0, 6);
  const centre = { x: 3e5 - radius * Math.cos(start), y: 3e5 - radius * Math.sin(start) };
  return { kind: 'arc', centre, radius, start, sweep };
};

const elliptical = (radius: number, ratio: number): Segment => {
  const [lean, start] = [between(0, 6), between(0, 6)];
  const [c, s] = [radius * Math.cos(lean), radius * Math.sin(lean)];
  const v = { x: -ratio * s, y: ratio * c };
  return {
    kind: 'elliptical-arc',
    centre: { x: 3e5, y: 3e5 },
    u: { x: c, y: s },
    v,
    start,
    sweep: anySweep(),
  };
};

it.each<[string, () => Segment]>([
  ['arcs up to 100 m across', () => circular(10 ** between(-2, 4.69))],
  ['arcs of huge radius', () => circular(10 ** between(5, 9), 10 ** between(-9, -4))],
  ['ellipses up to 100 m across', () => elliptical(10 ** between(-1, 4.69), 10 ** between(-2, 0))],
  [
    'ellipses up to 20 m long and thin as a hair',
    () => elliptical(10 ** between(1, 4), 10 ** between(-5, -2)),
  ],
])('%s are held to 1e-6 mm by what is written', (_, draw) => {
  for (let n = 0; n < 25; n += 1) {
    const curve = draw();
    const end = endOf(curve);
    const segments: Segment[] = [curve, { kind: 'line', from: end, to: { x: end.x + 5, y: end.y + 5 } }];
    const file: CutFile<Segment> = { axes: 'y-up', paths: [{ id: 'a', layer: 'b', open: true, segments }] };
    for (const format of ['svg', 'dxf'] as const) {
      const text = format === 'svg' ? writeSvg(file) : writeDxf(file);
      const { shapes } = readDrawing(bytesOf(text), { path: `again.${format}` });
      const read = shapes.flatMap((shape) => shape.paths.flatMap((path) => path.segments));
      const misses = [
        ...pointsOn(segments).map((p) => distanceFrom(read, p)),
        ...pointsOn(read).map((p) => distanceFrom(segments, p)),
      ];
      expect(Math.max(...misses), `${format} of ${JSON.stringify(curve)}`).toBeLessThan(1e-6);
    }
  }
});
