import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { Point } from '../../src/geometry/point.js';
import { type Files, fitJob, type LoadedJob, loadJob } from '../../src/index.js';
import { createRandom } from '../../src/numeric/random.js';
import { checkFit } from '../../src/verdict/check.js';

const centre = { x: 60, y: 50 };
const sd = 0.1;

const svg = (
  openings: string,
): string => `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm"
  viewBox="0 0 200 100"><g id="openings">${openings}</g>
  <g id="marks"><circle id="A" cx="10" cy="10" r="1"/><circle id="B" cx="190" cy="10" r="1"/>
  <circle id="C" cx="190" cy="90" r="1"/></g></svg>`;
const porthole = '<circle id="porthole" cx="60" cy="50" r="20"/>';

interface Scene {
  readonly angles: readonly number[];
  readonly clearance: number;
  readonly kind?: string;
  readonly kerfSd?: number;
  readonly openings?: string;
}

const radius = 20.6;
const load = (scene: Scene): LoadedJob => {
  const { angles, clearance, kind = 'opening', openings = porthole, kerfSd = 0 } = scene;
  const at = (x: number, y: number): string => `[${x}, ${y}]`;
  const touches = angles.map((angle) => {
    const place = at(centre.x + radius * Math.cos(angle), centre.y + radius * Math.sin(angle));
    return `  - {on: porthole, at: ${place}, radius: unknown}`;
  });
  const files: Files = { read: () => new TextEncoder().encode(svg(openings)) };
  const text = `drawing: panel.svg
readings: {A: ${at(10, 90)}, B: ${at(190, 90)}, C: ${at(190, 10)}}
touches:
${touches.join('\n')}
fit: {reading-sd: ${sd}}
check: {kerf-sd: ${kerfSd}, cut-sd: 0}
cut: {kind: ${kind}, clearance: ${clearance}}
`;
  return loadJob({ path: 'job.yaml', text }, files);
};

const checked = (scene: Scene, draws?: number) => {
  const { job, observations, touches, edges } = load(scene);
  const { outcome } = fitJob(load(scene));
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  const { fit } = outcome;
  const check = checkFit({
    fit,
    observations,
    touches,
    options: job.fit,
    openings: edges,
    face: job.face,
    pierced: job.pierced,
    cut: job.cut,
    check: job.check,
    ...(draws === undefined ? {} : { draws }),
  });
  return { fit, check };
};

/** How often the new edge really touches, when the readings are taken again and again. */
const touchedShare = (scene: Scene, trials: number): number => {
  const random = createRandom('rims');
  const { job, observations, touches } = load(scene);
  const again = ({ x, y }: Point): Point => ({ x: x + sd * random.normal(), y: y + sd * random.normal() });
  const start = adjust(observations, job.fit, touches);
  if (!start.ok) throw new Error(start.failure.reason);
  let touched = 0;
  for (let i = 0; i < trials; i += 1) {
    const outcome = adjust(
      observations.map((one) => ({ ...one, readings: one.readings.map(again) })),
      job.fit,
      touches.map((one) => ({ ...one, readings: one.readings.map(again) })),
      { near: start.fit },
    );
    if (!outcome.ok) throw new Error(outcome.failure.reason);
    const { matrix, rims } = outcome.fit;
    const [a, b, c, d, e, f] = matrix;
    const off = Math.hypot(
      a * centre.x + c * centre.y + e - centre.x,
      b * centre.x + d * centre.y + f - centre.y,
    );
    const smaller = (scene.kind === 'inlay' ? -1 : 1) * (radius - rims![0]!.radius);
    if (off + smaller > scene.clearance) touched += 1;
  }
  return touched / trials;
};

describe('the radius of a rim that was found by touching it', () => {
  const allRound = [0.2, 1.7, 3.3, 4.9];
  const oneSide = [-0.5, -0.2, 0.2, 0.5];
  it.each([
    ['touched all round', { angles: allRound, clearance: 0.15 }],
    ['touched from one side, where radius and shift are off together', { angles: oneSide, clearance: 0.2 }],
    ['filled by an inlay', { angles: oneSide, clearance: 0.2, kind: 'inlay' }],
  ] as const)('counts in the risk of its edge: %s', (_what, scene) => {
    const trials = 3000;
    const share = touchedShare(scene, trials);
    const { check } = checked(scene);
    const risk = check.openings[0]!.risk!;
    expect(risk).toBeGreaterThan(0.05);
    expect(Math.abs(share - risk)).toBeLessThan(4 * Math.sqrt((risk * (1 - risk)) / trials));
    expect(check.risk).toBeGreaterThanOrEqual(risk);
  });

  it('makes the sd of the approach at the worst point larger, by as much as it is uncertain', () => {
    const { check, fit } = checked({ angles: allRound, clearance: 0.3, kerfSd: 0.04 });
    const [porthole] = check.openings;
    const { sd: found } = fit.rims![0]!;
    expect(porthole!.predictedError).toBeGreaterThan(Math.hypot(found!, 0.02));
  });

  it('leaves other openings as they are, and counts in full for an edge that is a rim in part', () => {
    const far = '<rect id="far" x="150" y="40" width="10" height="10"/>';
    const { check } = checked({ angles: oneSide, clearance: 0.3, openings: porthole + far });
    const alone = checked({ angles: oneSide, clearance: 0.3 }).check;
    const [rim, other] = check.openings;
    expect(rim!.neededClearance).toBeCloseTo(alone.openings[0]!.neededClearance!, 2);
    expect(other!.neededClearance!).toBeLessThan(rim!.neededClearance!);
    // A slot that runs into the porthole: what is left of the circle is still as uncertain.
    const slot = '<rect id="slot" x="75" y="48" width="30" height="4"/>';
    const crossed = checked({ angles: oneSide, clearance: 0.3, openings: porthole + slot }).check;
    const needed = crossed.openings.find(({ id }) => id === 'porthole')!.neededClearance!;
    expect(needed).toBeGreaterThan(0.95 * rim!.neededClearance!);
  });
});
