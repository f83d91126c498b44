import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { type Path, pathBox, positionAt } from '../../src/geometry/curve.js';
import { boxCentre, distance, dot, type Point, subtract } from '../../src/geometry/point.js';
import { polygonOfPath } from '../../src/geometry/rings/polygon-of-path.js';
import { jobPicture } from '../../src/report/picture/job/job-picture.js';
import { pictureSvg } from '../../src/report/picture/job/picture.js';
import type { PictureInput } from '../../src/report/picture/picture-input.js';
import { cutJob, loadJob } from '../../src/reseat.js';

const folder = fileURLToPath(new URL('../../calibration/fern-screen/', import.meta.url));
const example = readFileSync(`${folder}job.yaml`, 'utf8');

const pictureOf = (text: string): PictureInput => {
  const loaded = loadJob({ path: 'job.yaml', text }, { read: (path) => readFileSync(`${folder}${path}`) });
  const done = cutJob(loaded);
  if (!done.ok) throw new Error(done.failure.reason);
  const { openings, outline } = loaded.roles;
  return jobPicture({
    job: loaded.job,
    openings,
    outline,
    fit: done.fit,
    cut: done.cut,
    ...(done.film ? { film: done.film } : {}),
    ...(done.check ? { check: done.check } : {}),
    ...(done.unproven === undefined ? {} : { unproven: done.unproven }),
  });
};

/** Distance of a point from a path whose curves are taken as chords within a micrometre. */
const farFrom = (path: Path, point: Point): number => {
  const ring = polygonOfPath(path, 1e-3);
  return Math.min(
    ...ring.map((from, i) => {
      const to = ring[(i + 1) % ring.length]!;
      const along = subtract(to, from);
      const t = Math.min(1, Math.max(0, dot(subtract(point, from), along) / dot(along, along)));
      return distance(point, { x: from.x + t * along.x, y: from.y + t * along.y });
    }),
  );
};

const shapeOf = ({ shapes }: PictureInput, role: string, id: string) =>
  shapes.find((shape) => shape.role === role && shape.id === id)!;

describe('picture of a job', () => {
  test('shows the panel, every opening, every beam path and every mark', () => {
    const { shapes, marks, title } = pictureOf(example);
    const count = (role: string) => shapes.filter((shape) => shape.role === role).length;
    expect([count('outline'), count('opening'), count('beam')]).toEqual([1, 47, 48]);
    expect(marks!.map((mark) => mark.name)).toEqual(['A', 'B', 'C', 'D']);
    expect(title).toBe('Fern screen, paper diffuser behind the panel');
  });

  test('shows the beam where it burns, although the machine is sent elsewhere by the beam offset', () => {
    const picture = pictureOf(example);
    const centre = boxCentre(pathBox(shapeOf(picture, 'opening', 'spore-1').paths[0]!));
    // Radius 7, clearance 0.5, half a kerf of 0.06; the bed map stretches it by 0.04 % at most.
    for (const s of shapeOf(picture, 'beam', 'spore-1').paths[0]!.segments) {
      for (const t of [0, 0.3, 0.7])
        expect(Math.abs(distance(positionAt(s, t), centre) - 7.44)).toBeLessThan(0.01);
    }
  });

  test('enlarges the place that decides the verdict first, then the thinnest land and the sharpest corner', () => {
    const { details, thinLands } = pictureOf(example);
    expect(details).toHaveLength(3);
    expect(details![0]!.label).toBe('Needs most: moon');
    expect(details![1]).toMatchObject({ land: 0, at: thinLands![0]!.at });
    expect(thinLands![0]!.width).toBe(Math.min(...thinLands!.map((land) => land.width)));
    expect(details![2]!.label).toBe('The sharpest corner: frond-stem');
  });

  test('says whether it fits, what is given and what is needed, and names the witness points', () => {
    const picture = pictureOf(example);
    const { verdict, witness } = picture;
    expect(verdict).toMatchObject({ head: 'It fits', given: 0.5, word: 'given' });
    expect(verdict!.needed).toBeCloseTo(0.13, 2);
    expect(witness!.map(({ name }) => name)).toEqual(
      ['w1', 'w2', 'w3', 'w4', 'w5'].slice(0, witness!.length),
    );
    const svg = pictureSvg(picture);
    for (const words of ['It fits.', '0.13 mm needed', '0.50 given', '0.12 kerf', '1200 x 900 mm'])
      expect(svg).toContain(words);
    for (const { name, at } of witness!) {
      expect(svg).toContain(`data-witness="${name}"`);
      expect(svg).toContain(`${at.x.toFixed(2)}, ${at.y.toFixed(2)}`);
    }
  });

  test('the clearance is measured from the existing edge to where the new one is cut, square to it', () => {
    for (const kind of ['opening', 'inlay']) {
      const picture = pictureOf(example.replace('kind: opening', `kind: ${kind}`));
      const { at, lengths } = picture.details![0]!;
      expect(Math.hypot(lengths!.normal.x, lengths!.normal.y)).toBeCloseTo(1, 9);
      // Half a kerf before the new edge runs the middle of the beam: the nearest it comes to the place.
      const beams = picture.shapes.filter(({ role }) => role === 'beam').flatMap(({ paths }) => paths);
      const point = {
        x: at.x + (0.5 - 0.06) * lengths!.normal.x,
        y: at.y + (0.5 - 0.06) * lengths!.normal.y,
      };
      expect([kind, Math.min(...beams.map((path) => farFrom(path, point))) < 0.005]).toEqual([kind, true]);
    }
  });

  test('while a reading is in doubt it names no witness points, and says so first', () => {
    const { witness, verdict } = pictureOf(example.replace('772.84', '727.84'));
    expect(witness).toBeUndefined();
    expect(verdict!.head).toBe('It does not fit');
    expect(verdict!.text).toMatch(/^A reading is in doubt, at C/);
  });

  test("shows the bed's edge where the part lies across it, and the origin where the display begins", () => {
    const text = example.replace(
      'machine: ../profiles/workshop.yaml',
      'machine: {axes: y-up, size: [790, 720]}',
    );
    const picture = pictureOf(text);
    expect(picture.bed).toEqual({ size: [790, 720] });
    const svg = pictureSvg(picture);
    expect(svg).toContain('data-part="bed-edge"');
    expect(svg).toContain('Origin 0, 0: lower left');
    expect(pictureSvg({ ...picture, axes: 'y-down' })).toContain('Origin 0, 0: upper left');
    expect(pictureSvg({ ...picture, bed: { size: [1200, 900] } })).not.toContain('data-part="bed-edge"');
  });

  test('shows residuals as the fit has them, the largest one named in the caption', () => {
    const { marks, caption } = pictureOf(example);
    const sizes = marks!.map(({ residual }) => Math.hypot(residual!.x, residual!.y));
    const largest = Math.max(...sizes);
    const name = marks![sizes.indexOf(largest)]!.name;
    expect(caption).toContain(`Largest residual ${largest.toFixed(2)} mm, at ${name};`);
    expect(caption).toContain('redundancy 5.');
  });

  test('without a coordinate to spare it shows no residuals, and says that nothing checks the readings', () => {
    const text = example.replace('model: rigid', 'model: affine').replace(/\n {2}D: .*/, '');
    const { marks, caption } = pictureOf(text);
    expect(marks!.map(({ residual }) => residual)).toEqual([undefined, undefined, undefined]);
    expect(caption).toContain('No redundancy: nothing checks the readings.');
  });

  test('shows film in strips: where they lie, where they lie on each other, and what their seams cross', () => {
    const picture = pictureOf(`${example}film: {width: 300, overlap: 6, direction: x}\n`);
    expect([picture.film!.strips.length, picture.film!.seams.length]).toEqual([3, 2]);
    expect(picture.film!.label).toContain('300 mm wide, overlap 6 mm, 1.20 m in all. Seams cross ');
    const svg = pictureSvg(picture);
    expect(svg.match(/data-part="film"/g)).toHaveLength(1);
    expect(svg).toContain('3 strips of film, F1 to F3');
    expect(pictureSvg(pictureOf(example))).not.toContain('data-part="film"');
  });

  test('says so where the openings were pierced larger than drawn', () => {
    const text = example.replace('cut:', 'pierced: {kerf: 0.18, compensated: false}\ncut:');
    expect(pictureOf(text).caption.at(-1)).toBe('Shown 0.09 mm larger, as pierced.');
  });
});
