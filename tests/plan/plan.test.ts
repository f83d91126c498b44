import { describe, expect, it } from 'vitest';
import { ambiguities } from '../../src/fit/doubts/ambiguity.js';
import { compose, rotation, translation } from '../../src/geometry/affine.js';
import { distance, type Point } from '../../src/geometry/point.js';
import { createRandom } from '../../src/numeric/random.js';
import { freeLand } from '../../src/plan/places/land.js';
import type { Place } from '../../src/plan/places/place.js';
import { planMarks } from '../../src/plan/plan.js';
import { circle, rectangle } from '../verdict/shapes.js';
import { board, combinations, neededWith, planInput, randomOpenings, usualJob } from './panels.js';

const spotsFor = (seed: string, count: number): Point[] => {
  const random = createRandom(seed);
  return Array.from({ length: count }, () => ({ x: 600 * random.uniform(), y: 400 * random.uniform() }));
};

const placeAt = (at: Point): Place => ({ kind: 'given', at });

/** What the plan itself refuses: marks side by side, and patterns like themselves turned or mirrored. */
const isAllowed = (pattern: readonly Point[], spacing: number): boolean =>
  combinations(pattern, 2).every(([a, b]) => distance(a!, b!) >= spacing) &&
  (pattern.length < 3 || ambiguities(pattern, 5).length === 0);

describe('The chosen pattern', () => {
  it.each([
    ['two marks among 24 places', 2, 24, 'a', 'rigid', ''],
    ['three marks among 16', 3, 16, 'b', 'rigid', ''],
    [
      'three marks among 16, with errors of the cut and the kerf',
      3,
      16,
      'c',
      'rigid',
      'check: {cut-sd: 0.05, kerf-sd: 0.04}',
    ],
    ['four marks among 12', 4, 12, 'd', 'rigid', ''],
    ['three marks for a similarity', 3, 14, 'e', 'similarity', ''],
    ['four marks for an affine fit', 4, 11, 'f', 'affine', ''],
    ['three marks for a sd with 6 degrees of freedom', 3, 14, 'g', 'rigid', ''],
    ['two marks for a shift', 2, 20, 'h', 'shift', ''],
  ] as const)(
    'is within two hundredths of the best of all patterns: %s',
    (_what, marks, count, seed, model, more) => {
      const openings = randomOpenings(createRandom(`openings ${seed}`), 7);
      const spots = spotsFor(seed, count);
      const dof = seed === 'g' ? ', reading-sd-dof: 6' : '';
      const input = planInput({
        openings,
        spots,
        job: `fit: {reading-sd: 0.1, model: ${model}${dof}}\nplan: {marks: ${marks}, allowed: spots, spacing: 40}\n${more}`,
      });
      const { chosen } = planMarks(input);
      expect(chosen.places).toHaveLength(marks);
      const needed = (pattern: readonly Point[]) => neededWith(input.job, openings, pattern.map(placeAt));
      const all = combinations(spots, marks).filter((pattern) => isAllowed(pattern, 40));
      const best = Math.min(...all.map(needed));
      expect(needed(chosen.places.map(({ at }) => at))).toBeLessThan(1.02 * best);
      expect(
        isAllowed(
          chosen.places.map(({ at }) => at),
          40,
        ),
      ).toBe(true);
    },
  );

  it('is never worse than three marks in the corners of the panel', () => {
    for (const seed of ['one', 'two', 'three']) {
      const random = createRandom(`corners ${seed}`);
      const [width, height] = [300 + 300 * random.uniform(), 200 + 90 * random.uniform()];
      const openings = randomOpenings(random, 12, width, height);
      const input = planInput({
        openings,
        outline: [board(width, height)],
        job: `${usualJob}\nplan: {from-edge: 0}`,
      });
      const { chosen } = planMarks(input);
      const needed = neededWith(input.job, openings, chosen.places, 8192);
      const corners = [
        { x: 0, y: 0 },
        { x: width, y: 0 },
        { x: width, y: height },
        { x: 0, y: height },
      ];
      for (const three of combinations(corners, 3))
        expect(needed).toBeLessThan(1.005 * neededWith(input.job, openings, three.map(placeAt), 8192));
    }
  });

  it('is no worse than the marks that are drawn already, where those may be used', () => {
    const openings = randomOpenings(createRandom('present'), 12);
    const drawn = [
      { x: 20, y: 20 },
      { x: 580, y: 25 },
      { x: 560, y: 380 },
      { x: 24, y: 371 },
    ];
    const present = new Map(drawn.map((at, i) => ['ABCD'[i]!, at]));
    const input = planInput({ openings, present, job: `${usualJob}\nplan: {marks: 4}` });
    const { chosen, present: asDrawn } = planMarks(input);
    const needed = neededWith(input.job, openings, chosen.places, 8192);
    expect(needed).toBeLessThan(1.005 * neededWith(input.job, openings, drawn.map(placeAt), 8192));
    expect(asDrawn?.places.map(({ name }) => name)).toEqual(['A', 'B', 'C', 'D']);
    for (const { name, kind, at } of chosen.places) {
      if (kind === 'drawn') expect(present.get(name)).toEqual(at);
      else for (const there of drawn) expect(distance(at, there)).toBeGreaterThan(72 - 1e-9);
    }
  });

  it('keeps new marks as far from those that are drawn as from each other, or proposes the drawn ones', () => {
    const openings = randomOpenings(createRandom('beside'), 12);
    const free = planMarks(planInput({ openings })).chosen.places.map(({ at }) => at);
    // Beside each place that would be best there is a mark already.
    const present = new Map(free.map(({ x, y }, i) => [`peg-${i}`, { x: x + (x < 300 ? 4 : -4), y }]));
    const { patterns, choices } = planMarks(planInput({ openings, present }));
    for (const { name, kind, at } of patterns.flatMap(({ places }) => places)) {
      if (kind === 'drawn') expect(present.get(name)).toEqual(at);
      else {
        for (const peg of present.values()) expect(distance(at, peg)).toBeGreaterThanOrEqual(choices.spacing);
      }
    }
    expect(patterns.some(({ places }) => places.some(({ kind }) => kind === 'drawn'))).toBe(true);
  });

  it('asks for no new mark where the drawn ones are as good', () => {
    const openings = randomOpenings(createRandom('enough'), 12);
    const best = planMarks(planInput({ openings })).chosen.places;
    const present = new Map(best.map(({ at }, i) => [`peg-${i}`, { x: at.x + 0.3, y: at.y + 0.2 }]));
    const { chosen } = planMarks(planInput({ openings, present }));
    expect(chosen.places.map(({ name, kind }) => `${name} ${kind}`).sort()).toEqual([
      'peg-0 drawn',
      'peg-1 drawn',
      'peg-2 drawn',
    ]);
  });

  it('needs less with every further mark', () => {
    const input = planInput({ openings: randomOpenings(createRandom('gain'), 20) });
    const needed = planMarks(input).patterns.map((pattern) => pattern.neededClearance!);
    expect(needed).toHaveLength(3);
    expect(needed[1]).toBeLessThan(needed[0]!);
    expect(needed[2]).toBeLessThan(needed[1]!);
  });

  it('is the same wherever the drawing lies and however it is turned', () => {
    const openings = randomOpenings(createRandom('motion'), 9);
    const spots = spotsFor('motion', 40);
    const job = `${usualJob}\nplan: {allowed: spots}`;
    const shapesOf = (moved?: Parameters<typeof planInput>[0]['moved']) =>
      planMarks(planInput({ openings, spots, job, ...(moved === undefined ? {} : { moved }) }))
        .chosen.places.map(({ shape }) => shape)
        .sort();
    const still = shapesOf();
    expect(shapesOf(translation(1234, -567))).toEqual(still);
    const turned = planMarks(
      planInput({ openings, spots, job, moved: compose(translation(900, 20), rotation(1.1)) }),
    ).chosen;
    // Turned, the draws fall otherwise: another pattern as good may be found.
    const back = turned.places.map(({ shape }) => placeAt(spots[Number(shape!.slice(5)) - 1]!));
    const first = still.map((shape) => placeAt(spots[Number(shape!.slice(5)) - 1]!));
    const { job: read } = planInput({ openings, spots, job });
    const [one, other] = [back, first].map((pattern) => neededWith(read, openings, pattern, 8192));
    expect(Math.abs(one! / other! - 1)).toBeLessThan(0.01);
  });

  it('does not depend on the order of the openings', () => {
    const openings = randomOpenings(createRandom('order'), 11);
    const placesOf = (shapes: typeof openings) =>
      planMarks(planInput({ openings: shapes })).patterns.map(({ places }) => places.map(({ at }) => at));
    expect(placesOf([...openings].reverse())).toEqual(placesOf(openings));
  });

  it('cannot be mistaken for itself half turned or face down', () => {
    const openings = [rectangle('window', 250, 150, 100, 100)];
    const plan = planMarks(planInput({ openings, job: `${usualJob}\nplan: {marks: 5}` }));
    expect(plan.patterns.map(({ places }) => places.length)).toEqual([2, 3, 4, 5]);
    for (const { places } of plan.patterns.slice(1)) {
      const points = places.map(({ at }) => at);
      expect(ambiguities(points, 5)).toEqual([]);
    }
  });

  it('lies on free land, on the grid, and apart', () => {
    const openings = randomOpenings(createRandom('free'), 30);
    const job = `${usualJob}\nplan: {marks: 4, from-openings: 7, from-edge: 11, spacing: 120, grid: 2.5}`;
    const input = planInput({ openings, job });
    const land = freeLand({ openings, outline: [board()], fromOpenings: 7, fromEdge: 11 });
    for (const { places } of planMarks(input).patterns) {
      for (const { at, nearestOpening, fromEdge } of places) {
        expect(land.isFree(at)).toBe(true);
        expect(nearestOpening!.distance).toBeGreaterThanOrEqual(7 - 1e-9);
        expect(fromEdge!).toBeGreaterThanOrEqual(11 - 1e-9);
        expect(at.x % 2.5).toBe(0);
        expect(at.y % 2.5).toBe(0);
      }
      for (const [a, b] of combinations(places, 2))
        expect(distance(a!.at, b!.at)).toBeGreaterThanOrEqual(120);
    }
  });
});

describe('What is there anyway', () => {
  const openings = [
    circle('porthole', { x: 60, y: 60 }, 20),
    circle('peg', { x: 540, y: 340 }, 3),
    rectangle('window', 480, 40, 60, 60),
    rectangle('slot', 40, 300, 90, 30),
  ];

  it('can be touched instead of marks, at its cost in readings', () => {
    const job = `${usualJob}\nplan: {marks: 4, use: [corners, holes]}`;
    const { chosen } = planMarks(planInput({ openings, job }));
    const kinds = new Set(chosen.places.map(({ kind }) => kind));
    expect([...kinds].every((kind) => ['corner', 'rim', 'hole'].includes(kind))).toBe(true);
    const cost = chosen.places.reduce((sum, { kind }) => sum + (kind === 'rim' ? 3 : 1), 0);
    expect(chosen.readings).toBe(cost);
  });

  it('a rim touched three times is better than one reading of a mark at its centre', () => {
    const { job } = planInput({ openings });
    const others = [placeAt({ x: 540, y: 340 }), placeAt({ x: 540, y: 40 })];
    const at = { x: 60, y: 60 };
    const rim = neededWith(job, openings, [...others, { kind: 'rim', at }]);
    expect(rim).toBeLessThan(neededWith(job, openings, [...others, placeAt(at)]));
  });

  it('three straight edges place a panel, two or three parallel ones do not', () => {
    const input = planInput({ openings, job: `${usualJob}\nplan: {marks: 3, use: [edges]}` });
    const { chosen, patterns } = planMarks(input);
    expect(patterns.map(({ places }) => places.length)).toEqual([3, 4]);
    expect(chosen.redundancy).toBe(0);
    const normals = chosen.places.map(({ normal }) => normal!);
    expect(normals.some(({ x }) => Math.abs(x) > 0.5)).toBe(true);
    expect(normals.some(({ y }) => Math.abs(y) > 0.5)).toBe(true);
    const along = (x: number): Place => ({ kind: 'edge', at: { x, y: 0 }, normal: { x: 0, y: 1 } });
    expect(neededWith(input.job, openings, [along(0), along(300), along(600)])).toBe(
      Number.POSITIVE_INFINITY,
    );
  });
});

describe('Without a stated sd', () => {
  it('two marks are nearly worthless, and the plan shows it', () => {
    const openings = randomOpenings(createRandom('unstated'), 6);
    const unstated = planMarks(planInput({ openings, job: 'title: none stated' }));
    const [two, three] = unstated.patterns;
    expect(unstated.readings).toMatchObject({ readingSd: 0.1, stated: false });
    expect(two!.neededClearance).toBeGreaterThan(3 * three!.neededClearance!);
    const stated = planMarks(planInput({ openings, job: usualJob }));
    expect(two!.neededClearance).toBeGreaterThan(4 * stated.patterns[0]!.neededClearance!);
  });
});
