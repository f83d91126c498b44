import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { pathBox, positionAt } from '../../src/geometry/curve.js';
import { boxCentre, distance } from '../../src/geometry/point.js';
import { jobPicture } from '../../src/report/picture/job-picture.js';
import { pictureSvg } from '../../src/report/picture/picture.js';
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
  });
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

  test('enlarges the thinnest land and the sharpest corner', () => {
    const { details, thinLands } = pictureOf(example);
    expect(details).toHaveLength(2);
    expect(details![0]).toMatchObject({ land: 0, at: thinLands![0]!.at });
    expect(thinLands![0]!.width).toBe(Math.min(...thinLands!.map((land) => land.width)));
    expect(details![1]!.label).toBe('The sharpest corner: frond-stem');
  });

  test('shows residuals as the fit has them, the largest one named in the caption', () => {
    const { marks, caption } = pictureOf(example);
    const sizes = marks!.map(({ residual }) => Math.hypot(residual!.x, residual!.y));
    const largest = Math.max(...sizes);
    const name = marks![sizes.indexOf(largest)]!.name;
    expect(caption).toContain(`Largest residual ${largest.toFixed(2)} mm, at ${name};`);
    expect(caption).toContain('Redundancy 5.');
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
    expect(pictureOf(text).caption.at(-1)).toBe('Openings as drawn; pierced 0.09 mm larger.');
  });
});
