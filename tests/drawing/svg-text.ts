/** Small drawings written out for a test, and how they are read. */
import { expect } from 'vitest';
import type { Drawing, Shape } from '../../src/drawing/model/drawing.js';
import { readSvg } from '../../src/drawing/svg/svg.js';
import { type Path, positionAt, type Segment } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';
import type { LengthUnit, PixelsToInch } from '../../src/job/job.js';
import { InputError, type Where } from '../../src/job/messages.js';

export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

/** A page of 100 x 100 mm with one user unit to the millimetre, unless the root says otherwise. */
export const page = (body: string, root = 'width="100mm" height="100mm" viewBox="0 0 100 100"'): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" ${root}>${body}</svg>`;

export const readText = (text: string, units?: LengthUnit, dpi?: PixelsToInch): Drawing =>
  readSvg(bytesOf(text), {
    path: 'fern.svg',
    ...(units === undefined ? {} : { units }),
    ...(dpi === undefined ? {} : { dpi }),
  });

/** The drawing of a body on the page above. */
export const readBody = (body: string): Drawing => readText(page(body));

/** The only shape of a body. */
export const onlyShape = (body: string): Shape => {
  const { shapes } = readBody(body);
  expect(shapes).toHaveLength(1);
  return shapes[0]!;
};

/** The only subpath of the only shape. */
export const onlyPath = (body: string): Path => {
  const { paths } = onlyShape(body);
  expect(paths).toHaveLength(1);
  return paths[0]!;
};

/** The path of some path data. */
export const pathOf = (data: string): Path => onlyPath(`<path d="${data}"/>`);

/** SVG coordinates on the page of 100 mm as a point of the design frame: y up from the bottom. */
export const onPage = (x: number, y: number): Point => ({ x, y: 100 - y });

export const expectPoint = (found: Point, x: number, y: number, digits = 9): void => {
  expect(found.x).toBeCloseTo(x, digits);
  expect(found.y).toBeCloseTo(y, digits);
};

/** The input error that `work` throws. */
export const inputErrorOf = (work: () => unknown): InputError => {
  try {
    work();
  } catch (error) {
    expect(error).toBeInstanceOf(InputError);
    return error as InputError;
  }
  throw new Error('no error was thrown');
};

/** A whole file is refused with these words, there. */
export const expectRefused = (text: string, message: string | RegExp, where: Where = {}): void => {
  const error = inputErrorOf(() => readText(text));
  expect(error.message).toMatch(message);
  expect(error.where).toMatchObject({ file: 'fern.svg', ...where });
  expect(error.next).toMatch(/^[A-Z].*\.$/);
};

const samples = [0, 0.1, 0.25, 0.4, 0.5, 0.75, 0.9, 1];

/** Points along a path at fixed shares of every segment. */
export const pointsAlong = (path: Path): Point[] =>
  path.segments.flatMap((s: Segment) => samples.map((t) => positionAt(s, t)));

/** Two drawings trace the same points in the same order. */
export const expectSameTrace = (
  found: readonly Path[],
  expected: readonly Path[],
  tolerance = 1e-9,
): void => {
  expect(found.length).toBe(expected.length);
  found.forEach((path, i) => {
    const other = expected[i]!;
    expect(path.closed).toBe(other.closed);
    const a = pointsAlong(path);
    const b = pointsAlong(other);
    expect(a.length).toBe(b.length);
    a.forEach((p, k) => {
      expect(Math.abs(p.x - b[k]!.x)).toBeLessThanOrEqual(tolerance);
      expect(Math.abs(p.y - b[k]!.y)).toBeLessThanOrEqual(tolerance);
    });
  });
};

export const pathsOf = (drawing: Drawing): Path[] => drawing.shapes.flatMap(({ paths }) => paths);
