import { describe, expect, test } from 'vitest';
import type { FilmPlan } from '../../src/cut/film/film.js';
import { apply, compose, type Matrix, mirrorX, rotation, translation } from '../../src/geometry/affine.js';
import { distance } from '../../src/geometry/point.js';
import { InputError } from '../../src/job/messages.js';
import { displayToTrueMatrix, trueToPointer } from '../../src/marks/frames.js';
import { filmJson, filmLines } from '../../src/report/film-report.js';
import { cutJob, loadJob } from '../../src/reseat.js';

/** A panel of 400 x 300 with four round openings of 40 mm and one slot; y up: the slot lies at y 20 to 30. */
const drawing = `<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300">
  <g id="openings">
    <circle id="one" cx="80" cy="200" r="20"/>
    <circle id="two" cx="170" cy="200" r="20"/>
    <circle id="three" cx="230" cy="100" r="20"/>
    <circle id="four" cx="330" cy="100" r="20"/>
    <rect id="slot" x="20" y="270" width="360" height="10"/>
  </g>
  <rect id="outline" x="0" y="0" width="400" height="300"/>
</svg>`;

const design = { A: { x: 10, y: 10 }, B: { x: 390, y: 10 }, C: { x: 390, y: 290 }, D: { x: 10, y: 290 } };
const upright: Matrix = translation(100, 50);

interface Panel {
  /** Drawing, face included -> true bed. */
  readonly lies?: Matrix;
  readonly machine?: string;
  readonly film: string;
  readonly more?: string;
  readonly svg?: string;
  readonly model?: string;
}

const bed = { axes: 'y-down' as const, bedMap: { scale: [1.001, 0.999] as const, skew: 0.001 } };
const bedText =
  'machine: {axes: y-down, bed-map: {scale: [1.001, 0.999], skew-mrad: 1}, beam-offset: [3, -2]}';

const plan = ({
  lies = upright,
  film,
  more = '',
  svg = drawing,
  machine,
  model = 'rigid',
}: Panel): FilmPlan => {
  const shown = machine === undefined ? (p: { x: number; y: number }) => p : trueToPointer(bed);
  const lines = Object.entries(design).map(([name, p]) => {
    const at = shown(apply(lies, p));
    return `  ${name}: [${at.x}, ${at.y}]`;
  });
  const marks = Object.entries(design).map(([name, { x, y }]) => `  ${name}: [${x}, ${y}]`);
  const text = [
    'drawing: panel.svg',
    'marks:',
    ...marks,
    'readings:',
    ...lines,
    'cut: {clearance: 0.5, kerf: 0.2}',
    `fit: {reading-sd: 0.05, model: ${model}}`,
    machine ?? '',
    `film: ${film}`,
    more,
  ].join('\n');
  const files = { read: () => new TextEncoder().encode(svg) };
  const done = cutJob(loadJob({ path: 'job.yaml', text }, files));
  if (!done.ok) throw new Error(done.failure.reason);
  return done.film!;
};

const message = (panel: Panel): string => {
  try {
    plan(panel);
  } catch (error) {
    if (error instanceof InputError) return `${error.message} | ${error.next} | ${error.where.line}`;
    throw error;
  }
  return 'nothing';
};

describe('Film in strips', () => {
  test('keeps seams off everything that is cut away: the opening, its clearance, to the last micrometre', () => {
    const { seams, strips, warnings } = plan({ film: '{width: 200, overlap: 10, direction: y}' });
    expect(strips).toHaveLength(3);
    expect(warnings.filter((w) => w.code === 'seam-crosses-opening')).toHaveLength(1);
    // Nothing avoids the slot; beside it the first seam runs in the middle between the first two circles, 100.5 to
    // 149.5, the second between the last two, 250.5 to 309.5.
    expect(seams.map((s) => s.crosses)).toEqual([['slot'], ['slot']]);
    expect(seams[0]!.from).toBeCloseTo(120, 6);
    expect(seams[0]!.to).toBeCloseTo(130, 6);
    expect(seams[0]!.distance).toBeCloseTo(19.5, 6);
    expect(seams[1]!.from).toBeCloseTo(275, 6);
  });

  test('is the same on the panel however the panel lies, and its corners are where the pointer finds them', () => {
    const film = '{width: 200, overlap: 10, direction: y}';
    const straight = plan({ film });
    for (const angle of [0.03, 1.2, Math.PI / 2, -2.5]) {
      const lies = compose(translation(700, 300), rotation(angle));
      const turned = plan({ lies, film, machine: bedText });
      expect(turned.strips).toHaveLength(straight.strips.length);
      turned.strips.forEach((strip, i) => {
        const { from, to } = strip;
        // Through an uneven bed map the paths are true to the tolerance of the cut, 0.005 mm.
        expect(Math.abs(from - straight.strips[i]!.from)).toBeLessThan(0.005);
        expect(Math.abs(to - straight.strips[i]!.to)).toBeLessThan(0.005);
        expect(strip.length).toBeCloseTo(300, 5);
        const [a, b, c, d] = strip.corners.map((p) => apply(displayToTrueMatrix(bed), p));
        expect(distance(a!, apply(lies, { x: from, y: 0 }))).toBeLessThan(1e-5);
        expect(distance(b!, apply(lies, { x: from, y: 300 }))).toBeLessThan(1e-5);
        expect(distance(c!, apply(lies, { x: to, y: 300 }))).toBeLessThan(1e-5);
        expect(distance(d!, apply(lies, { x: to, y: 0 }))).toBeLessThan(1e-5);
      });
    }
  });

  test('of a panel on its face is counted in the drawing all the same', () => {
    const film = '{width: 220, overlap: 10, direction: y}';
    const straight = plan({ film });
    const lies = compose(translation(600, 50), mirrorX);
    const down = plan({ film, lies, more: 'face: down' });
    down.strips.forEach(({ from, to }, i) => {
      expect(from).toBeCloseTo(straight.strips[i]!.from, 5);
      expect(to).toBeCloseTo(straight.strips[i]!.to, 5);
    });
    expect(distance(down.strips[0]!.corners[0], apply(lies, { x: 0, y: 0 }))).toBeLessThan(1e-6);
  });

  test('is as wide as its roll on the bed where the panel has grown since it was drawn', () => {
    const grown: Matrix = [1.01, 0, 0, 1.01, 100, 50];
    // 400 mm have become 404: two strips of 202 leave nothing for the overlap of 3 mm.
    const film = '{width: 202, overlap: 3, direction: y}';
    expect(plan({ film }).strips).toHaveLength(2);
    const { strips, seams } = plan({ film, lies: grown, model: 'similarity' });
    expect(strips).toHaveLength(3);
    expect((seams[0]!.to - seams[0]!.from) * 1.01).toBeCloseTo(3, 6);
    expect(strips[2]!.to).toBeCloseTo(400, 6);
  });

  test('covers the panel with strips that lie on each other by the overlap and are no wider than the roll', () => {
    const { strips, seams, width, overlap } = plan({ film: '{width: 90, overlap: 7, direction: x}' });
    expect(strips[0]!.from).toBeCloseTo(0, 9);
    expect(strips.at(-1)!.to).toBeCloseTo(300, 9);
    expect(strips).toHaveLength(4);
    for (const strip of strips) expect(strip.width).toBeLessThanOrEqual(width + 1e-6);
    seams.forEach((seam, i) => {
      expect(strips[i]!.to).toBeCloseTo(seam.to, 9);
      expect(strips[i + 1]!.from).toBeCloseTo(seam.from, 9);
      expect(seam.to - seam.from).toBeCloseTo(overlap, 9);
    });
  });

  test('takes less length at the sides of a round panel', () => {
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="400mm" viewBox="0 0 400 400">
      <circle id="outline" cx="200" cy="200" r="200"/><g id="openings"><circle id="a" cx="200" cy="200" r="60"/></g></svg>`;
    const { strips, length } = plan({ svg, film: '{width: 150, overlap: 0, direction: x}' });
    expect(strips).toHaveLength(3);
    // A chord at the inner edge of the first strip.
    const high = strips[0]!.to - 200;
    expect(strips[0]!.length).toBeCloseTo(2 * Math.sqrt(200 ** 2 - high ** 2), 2);
    expect(strips[1]!.length).toBeCloseTo(400, 2);
    expect(length).toBeCloseTo(
      strips.reduce((sum, s) => sum + s.length, 0),
      9,
    );
  });

  test('chooses the direction with fewer crossings where the job names none, and tells of it where it does', () => {
    expect(plan({ film: '{width: 220, overlap: 10}' }).direction).toBe('x');
    const along = plan({ film: '{width: 220, overlap: 10, direction: y}' });
    expect(along.warnings[0]!.message).toBe(
      '1 of 1 seam of the film runs through openings, which no place within reach avoids: slot. With "direction: x" none does.',
    );
  });

  test('one strip is enough where the roll is wide enough', () => {
    const { strips, seams, length, warnings } = plan({ film: '{width: 300, overlap: 5}' });
    expect([strips.length, seams.length, warnings.length]).toEqual([1, 0, 0]);
    expect(length).toBeCloseTo(400, 6);
  });

  test('is told in lines and as JSON', () => {
    const film = plan({ film: '{width: 220, overlap: 10}' });
    const lines = filmLines(film);
    expect(lines[1]).toBe('Film: 2 strips of 220 mm along x of the drawing, overlap 10 mm, 0.80 m in all;');
    expect(filmJson(film)).toMatchObject({ direction: 'x', width: 220, overlap: 10 });
    expect(filmJson(film).strips[0]!.corners).toHaveLength(4);
    expect(filmJson(film).seams[0]!.crosses).toEqual([]);
  });
});

describe('Film that cannot be laid', () => {
  test.each([
    [
      'an overlap of most of the strip',
      { film: '{width: 100, overlap: 30}' },
      'at most a quarter of the width, 25',
    ],
    ['no width', { film: '{overlap: 3}' }, 'no key "width" in film'],
    ['a width of nothing', { film: '{width: 0, overlap: 0}' }, 'film.width is 0'],
    ['a direction that is none', { film: '{width: 100, overlap: 3, direction: up}' }, 'expected x or y'],
    ['a roll of three millimetres', { film: '{width: 3, overlap: 0.5}' }, 'which takes 120 strips'],
    [
      'a panel without outline',
      {
        film: '{width: 100, overlap: 3}',
        svg: drawing.replace(/<rect id="outline".*/, ''),
        more: 'roles: {openings: openings}',
      },
      'film for a drawing without a closed outline',
    ],
  ])('%s', (_, panel, expected) => {
    expect(message(panel)).toContain(expected);
  });
});
