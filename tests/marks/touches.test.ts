import { describe, expect, it } from 'vitest';
import { misclosureOf } from '../../src/fit/touches/touch-rows.js';
import type { Path, Segment } from '../../src/geometry/curve.js';
import { type Files, fitJob, InputError, loadJob } from '../../src/index.js';
import { roundPath } from '../../src/marks/touch-edge.js';
import type { TouchReadings } from '../../src/marks/touches.js';

const drawing = `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">
  <g id="outline"><rect id="edge" width="200" height="100"/></g>
  <g id="openings">
    <circle id="moon" cx="60" cy="50" r="20"/>
    <circle id="island" cx="60" cy="50" r="8"/>
    <path id="leaf" d="M120 20 C150 20 170 40 170 70 C140 70 120 50 120 20 Z"/>
  </g>
  <g id="pegs"><circle id="peg" cx="20" cy="20" r="3" data-name="hole"/></g>
  <g id="marks"><circle id="A" cx="10" cy="10" r="1"/></g>
</svg>`;

const files: Files = {
  read: (path) => (path === 'panel.svg' ? new TextEncoder().encode(drawing) : undefined),
};

const load = (touches: string, more = '') =>
  loadJob({ path: 'job.yaml', text: `drawing: panel.svg\ntouches:\n${touches}\n${more}` }, files).touches;

const fault = (touches: string, more = ''): string => {
  try {
    load(touches, more);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return `${error.where.line} | ${error.found} | ${error.next}`;
  }
  throw new Error('nothing was refused');
};

const identity = {
  model: 'rigid',
  centre: { x: 0, y: 0 },
  anchor: { x: 0, y: 0 },
  linear: [1, 0, 0, 1],
} as const;

/** Signed distance of a design point (x right, y up) from the existing edge; positive in the material. */
const distance = ({ edge }: TouchReadings, x: number, y: number): number =>
  misclosureOf(identity, edge, { x, y }, edge.index.nearest(x, y), undefined).residual;

describe('What a touch is on', () => {
  it('is found by id, by label, as the outline, and by a layer with one shape', () => {
    const names = ['outline', 'edge', 'moon', 'peg', 'hole', 'pegs'];
    const touches = load(names.map((n) => `  - {on: ${n}, at: [1, 2]}`).join('\n'));
    expect(touches.map((t) => t.touch)).toEqual(names.map((n, i) => `touch ${i + 1} on ${n}`));
    expect(touches[0]!.edge).toBe(touches[1]!.edge);
    expect(touches[3]!.edge).toBe(touches[4]!.edge);
    expect(touches[3]!.edge).toBe(touches[5]!.edge);
  });

  it.each([
    ['an unknown name, with the nearest one', 'mon', /^3 \| a touch on "mon", .* \| Did you mean "moon"\?/],
    ['the outline misspelt', 'outlin', /Did you mean "outline"\?/],
    ['a layer of several shapes', 'openings', /holds 3 shapes \| Name the shape that was touched: "moon"/],
    ['a name like no other', 'xyzzy', /reseat list/],
  ])('%s is refused', (_what, name, message) => {
    expect(fault(`  - {on: ${name}, at: [1, 2]}`)).toMatch(message);
  });

  it('a mark that is only a point has no edge', () => {
    const text = fault('  - {on: B, at: [1, 2]}', 'marks: {B: [30, 40]}\nreadings: {B: [1, 2]}');
    expect(text).toBe(
      '3 | a touch on "B", a mark that is a point and has no edge | Give the reading under "readings:" as "B".',
    );
  });

  it('a radius is for round rims, and one only', () => {
    expect(fault('  - {on: leaf, at: [1, 2], radius: unknown}')).toMatch(/not one whole circle/);
    expect(
      fault('  - {on: peg, at: [1, 2], radius: unknown}\n  - {on: hole, at: [1, 2], radius: 3}'),
    ).toMatch(/^4 \| the radius 3 for "peg", although touch 1 says unknown/);
    const [one, other] = load('  - {on: peg, at: [1, 2], radius: 3.2}\n  - {on: peg, at: [1, 2]}');
    expect(one!.edge.rim).toMatchObject({ radius: 3.2, outside: 1 });
    expect(other!.edge).toBe(one!.edge);
  });
});

describe('On which side of an edge the material lies', () => {
  const touches = () =>
    load(['outline', 'moon', 'island', 'leaf'].map((n) => `  - {on: ${n}, at: [1, 2]}`).join('\n'));

  it('outside an opening, inside an island and the outline, however they were drawn', () => {
    const [outline, moon, island, leaf] = touches() as [
      TouchReadings,
      TouchReadings,
      TouchReadings,
      TouchReadings,
    ];
    expect(distance(outline, 100, 97)).toBeCloseTo(3, 9);
    expect(distance(outline, 100, 101)).toBeCloseTo(-1, 9);
    expect(distance(moon, 60, 71)).toBeCloseTo(1, 9);
    expect(distance(moon, 60, 68)).toBeCloseTo(-2, 9);
    expect(distance(island, 60, 57)).toBeCloseTo(1, 9);
    expect(distance(leaf, 150, 60)).toBeLessThan(0);
  });

  it('a part pierced along the drawn line has larger openings, smaller islands and a smaller outline', () => {
    const pierced = load(
      ['outline', 'moon', 'island', 'peg'].map((n) => `  - {on: ${n}, at: [1, 2]}`).join('\n'),
      'pierced: {kerf: 0.4, compensated: false}',
    ) as [TouchReadings, TouchReadings, TouchReadings, TouchReadings];
    const [outline, moon, island, peg] = pierced;
    expect(distance(outline, 100, 99.8)).toBeCloseTo(0, 9);
    expect(distance(moon, 60, 70.2)).toBeCloseTo(0, 9);
    expect(distance(island, 60, 57.8)).toBeCloseTo(0, 9);
    // What is neither opening nor outline is taken as drawn.
    expect(distance(peg, 20, 83)).toBeCloseTo(0, 9);
  });

  it('a panel on its face is touched on the mirrored edge, with the material on the same side', () => {
    const [leaf, moon] = load(
      '  - {on: leaf, at: [1, 2], start: [150, 40]}\n  - {on: moon, at: [1, 2]}',
      'face: down',
    );
    expect(leaf!.start).toEqual({ x: -150, y: 40 });
    expect(distance(moon!, -60, 71)).toBeCloseTo(1, 9);
    expect(distance(leaf!, -150, 60)).toBeLessThan(0);
  });

  it('readings go through the display and the bed map as those of marks do', () => {
    const [touch] = load(
      '  - {on: outline, at: [100, 200]}',
      'machine: {axes: y-down, bed-map: {scale: [1.001, 0.999], skew-mrad: 0}}',
    );
    expect(touch!.readings[0]!.x).toBeCloseTo(100.1, 9);
    expect(touch!.readings[0]!.y).toBeCloseTo(-199.8, 9);
  });
});

describe('An edge among others of its role', () => {
  const withOpenings = (more: string, ...touches: readonly string[]): TouchReadings[] => {
    const text = drawing.replace('</g>\n  <g id="pegs">', `${more}</g>\n  <g id="pegs">`);
    const own: Files = {
      read: (path) => (path === 'panel.svg' ? new TextEncoder().encode(text) : undefined),
    };
    const lines = touches.map((on) => `  - {on: ${on}, at: [1, 2]}`).join('\n');
    return [...loadJob({ path: 'job.yaml', text: `drawing: panel.svg\ntouches:\n${lines}` }, own).touches];
  };
  const refusal = (more: string, on: string): string => {
    try {
      withOpenings(more, on);
    } catch (error) {
      if (error instanceof InputError) return `${error.found} | ${error.next}`;
      throw error;
    }
    throw new Error('nothing was refused');
  };
  const square = (id: string, x: number, y: number, side: number): string =>
    `<rect id="${id}" x="${x}" y="${y}" width="${side}" height="${side}"/>`;

  it('ends where another opening crosses it, and not where a line that encloses nothing does', () => {
    // Its right half lies in another opening: what is left of it is its left half.
    const [crossed] = withOpenings(square('a', 100, 5, 20) + square('b', 110, 0, 30), 'a');
    expect(distance(crossed!, 101, 85)).toBeCloseTo(-1, 9);
    expect(crossed!.edge.index.distance(120, 85)).toBeGreaterThan(9.9);
    const line = '<path id="b" d="M110 0 V30"/><path id="c" fill="none" d="M104 4 C108 30 112 30 116 4"/>';
    const [whole] = withOpenings(square('a', 100, 5, 20) + line, 'a');
    expect(distance(whole!, 119, 85)).toBeCloseTo(-1, 9);
    expect(whole!.edge.index.distance(120, 85)).toBeCloseTo(0, 9);
    for (const [x, y] of [
      [110, 95],
      [110, 75],
    ] as const)
      expect(whole!.edge.index.distance(x, y)).toBeCloseTo(0, 9);
  });

  it('that lies within other ones whole is none', () => {
    const both = square('a', 100, 0, 30) + square('b', 110, 0, 30);
    expect(withOpenings(both, 'a', 'b')).toHaveLength(2);
    expect(refusal(both + square('x', 112, 12, 6), 'x')).toMatch(
      /^a touch on "x", all of which lies within other openings \| Name the opening/,
    );
  });

  it('is round where it is one whole circle, in any number of arcs, and an oval is not', () => {
    const arc = (x: number, y: number, radius: number, start: number, sweep: number): Segment => ({
      kind: 'arc',
      centre: { x, y },
      radius,
      start: (start * Math.PI) / 180,
      sweep: (sweep * Math.PI) / 180,
    });
    const path = (...segments: readonly Segment[]): Path => ({ closed: true, segments });
    for (const sign of [1, -1]) {
      expect(roundPath(path(arc(3, 4, 5, 0, 360 * sign)))).toEqual({
        centre: { x: 3, y: 4 },
        drawnRadius: 5,
      });
      const three = [0, 1, 2].map((i) => arc(3, 4, 5, 120 * i * sign, 120 * sign));
      expect(roundPath(path(...three))).toMatchObject({ drawnRadius: 5 });
    }
    expect(roundPath({ ...path(arc(3, 4, 5, 0, 360)), closed: false })).toBeUndefined();
    expect(roundPath(path(arc(3, 4, 5, 0, 180)))).toBeUndefined();
    // A slot: two half circles and two lines; an oval: four arcs that turn once in all.
    const line: Segment = { kind: 'line', from: { x: 8, y: 4 }, to: { x: 8, y: 9 } };
    expect(roundPath(path(arc(3, 4, 5, 180, 180), line, arc(3, 9, 5, 0, 180)))).toBeUndefined();
    const oval = path(
      arc(0, -5, 15, 60, 60),
      arc(0, 0, 5, 120, 120),
      arc(0, 5, 15, 240, 60),
      arc(0, 0, 5, 300, 120),
    );
    expect(roundPath(oval)).toBeUndefined();
    expect(roundPath(path(arc(0, 0, 5, 0, 180), arc(0.5, 0, 5, 180, 180)))).toBeUndefined();
    expect(roundPath(path(arc(0, 0, 5, 0, 180), arc(0, 0, 5.5, 180, 180)))).toBeUndefined();
    expect(roundPath(path(arc(0, 0, 5, 0, 180), arc(0.005, 0, 5.005, 180, 180)))).toBeDefined();
  });
});

describe('the whole chain', () => {
  it('a panel on its face on a skewed y-down bed, pierced without compensation, lies where its marks would put it', () => {
    const sx = 1.002;
    const sy = 0.997;
    const g = 0.0015;
    const turn = 2.1;
    const truePlace = (x: number, y: number): [number, number] => [
      Math.cos(turn) * -x - Math.sin(turn) * y + 400,
      Math.sin(turn) * -x + Math.cos(turn) * y + 300,
    ];
    const display = (x: number, y: number): string => {
      const [tx, ty] = truePlace(x, y);
      const v = ty / (sy * Math.cos(g));
      return `[${(tx + sy * v * Math.sin(g)) / sx}, ${-v}]`;
    };
    const half = 0.2;
    // Outline 0.2 mm inside the drawn one, the moon 0.2 mm larger.
    const moon = (degrees: number) => {
      const t = (degrees * Math.PI) / 180;
      return display(60 + (20 + half) * Math.cos(t), 50 + (20 + half) * Math.sin(t));
    };
    const touches = [
      `  - {on: outline, at: ${display(30, half)}}`,
      `  - {on: outline, at: ${display(170, half)}}`,
      `  - {on: outline, at: ${display(200 - half, 60)}}`,
      `  - {on: outline, at: ${display(90, 100 - half)}}`,
      ...[20, 140, 260].map((degrees) => `  - {on: moon, at: ${moon(degrees)}}`),
    ];
    const loaded = loadJob(
      {
        path: 'job.yaml',
        text: [
          'drawing: panel.svg',
          'face: down',
          'touches:',
          ...touches,
          'fit: {reading-sd: 0.05}',
          `pierced: {kerf: ${2 * half}, compensated: false}`,
          `machine: {axes: y-down, bed-map: {scale: [${sx}, ${sy}], skew-mrad: ${1000 * g}}}`,
        ].join('\n'),
      },
      files,
    );
    const { outcome } = fitJob(loaded);
    if (!outcome.ok) throw new Error(outcome.failure.reason);
    const [a, b, , , e, f] = outcome.fit.matrix;
    expect(Math.atan2(b, a)).toBeCloseTo(turn, 7);
    expect(e).toBeCloseTo(400, 5);
    expect(f).toBeCloseTo(300, 5);
    expect(outcome.fit.rms).toBeLessThan(1e-6);
    const asCompensated = fitJob({
      ...loaded,
      touches: loadJob(
        {
          path: 'job.yaml',
          text: [
            'drawing: panel.svg',
            'face: down',
            'touches:',
            ...touches,
            `machine: {axes: y-down, bed-map: {scale: [${sx}, ${sy}], skew-mrad: ${1000 * g}}}`,
          ].join('\n'),
        },
        files,
      ).touches,
    }).outcome;
    expect(asCompensated.ok && asCompensated.fit.rms).toBeGreaterThan(0.1);
  });
});
