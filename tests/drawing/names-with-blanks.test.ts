import { describe, expect, it } from 'vitest';
import { readDrawing } from '../../src/drawing/read.js';
import { writeSvg } from '../../src/drawing/write/write-svg.js';
import type { Line } from '../../src/geometry/curve.js';

const square = (x: number): Line[] =>
  [
    [x, 0],
    [x + 5, 0],
    [x + 5, 5],
    [x, 5],
  ].map(([fromX, fromY], i, all) => {
    const [toX, toY] = all[(i + 1) % 4] as [number, number];
    return { kind: 'line', from: { x: fromX!, y: fromY! }, to: { x: toX, y: toY } };
  });
const read = (text: string) => readDrawing(new TextEncoder().encode(text), { path: 'leaves.svg' });
const page = (body: string): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" viewBox="0 0 50 50">${body}</svg>`;

describe('a name that is no id', () => {
  const text = writeSvg({
    axes: 'y-up',
    paths: [
      { segments: square(0), layer: 'film & glue', id: 'leaf 7' },
      { segments: square(10), layer: 'film & glue', id: 'leaf 7' },
      { segments: square(20), layer: 'film & glue', id: 'a ]]> b' },
      { segments: square(30), layer: 'plain', id: 'stem' },
    ],
  });

  it('is written as a title beside an id made of it, and in no attribute of another program', () => {
    expect(text).toContain(
      '<g id="film-&amp;-glue" fill="none" stroke="#000000" stroke-width="0.1"><title>film &amp; glue</title>',
    );
    expect(text).toMatch(/<path id="leaf-7" d="[^"]*"><title>leaf 7<\/title><\/path>/);
    expect(text).not.toMatch(/data-|label/);
  });

  it('names its shape and its layer when the file is read again', () => {
    const { shapes } = read(text);
    expect(shapes.map(({ id, labels = [], layers }) => [id, labels, layers])).toEqual([
      ['leaf-7', ['leaf 7'], ['film-&-glue', 'film & glue']],
      ['leaf-7-2', ['leaf 7'], ['film-&-glue', 'film & glue']],
      ['a-]]>-b', ['a ]]> b'], ['film-&-glue', 'film & glue']],
      ['stem', [], ['plain']],
    ]);
  });

  it('is none that a title gives which has nothing to do with the id: it is a note', () => {
    const { shapes } = read(
      page(
        '<title>Fern</title><g id="a"><title>openings</title><circle id="b" r="3"><title>drawn in May</title></circle></g>',
      ),
    );
    expect(shapes.map(({ id, labels, layers }) => [id, labels, layers])).toEqual([['b', undefined, ['a']]]);
  });
});
