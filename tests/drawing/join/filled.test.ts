import { describe, expect, it } from 'vitest';
import { listDrawing, listJob } from '../../../src/drawing/list-drawing.js';
import { bytesOf, page } from '../svg-text.js';

/** An open path of three sides, and a shape that is closed. */
const threeSides = 'd="M20 20h10v10h-10"';

/** What becomes of open paths: the area of each shape, mm^2; undefined for one that stays open. */
const areasOf = (body: string): (number | undefined)[] =>
  listDrawing(bytesOf(page(body)), 'd.svg').rows.map(({ area }) => area && Number(area.toFixed(6)));

describe('an open path that is filled', () => {
  it.each([
    ['black, where nothing is said of fill and stroke', `<path ${threeSides}/>`],
    ['by an attribute', `<path ${threeSides} fill="#000"/>`],
    ['by a style', `<path ${threeSides} style="fill:red"/>`],
    ['by a style sheet', `<style>.f{fill:red}</style><path class="f" ${threeSides}/>`],
    ['by the group around it', `<g fill="red"><g><path ${threeSides}/></g></g>`],
    ['by the current colour', `<g color="red" fill="currentColor"><path ${threeSides}/></g>`],
    ['with a gradient', `<path ${threeSides} fill="url(#g)"/>`],
    ['with a stroke round it, where the filling is stated', `<path ${threeSides} fill="red" stroke="#000"/>`],
    ['in a use', `<defs><path id="p" ${threeSides}/></defs><use href="#p" fill="red"/>`],
    ['drawn as a polyline', '<polyline points="20,20 30,20 30,30 20,30" fill="#000"/>'],
  ])('is closed by a straight line as a browser fills it: %s', (_how, body) => {
    expect(areasOf(body)).toEqual([100]);
  });

  it.each([
    ['fill none', `<path ${threeSides} fill="none"/>`],
    [
      'fill none by a style sheet, which goes before the attribute',
      `<style>path{fill:none}</style><path ${threeSides} fill="red"/>`,
    ],
    ['fill none around it', `<g fill="none" stroke="#000"><path ${threeSides}/></g>`],
    ['a stroke, and no word about the filling', `<path ${threeSides} stroke="#000"/>`],
    ['a filling that is not seen', `<path ${threeSides} fill="red" fill-opacity="0"/>`],
    ['no width', '<path d="M20 20L40 40L30 30" fill="red"/>'],
    ['a line', '<line x1="20" y1="20" x2="30" y2="40" fill="red"/>'],
  ])('stays open with %s', (_how, body) => {
    expect(areasOf(body)).toEqual([undefined]);
  });

  it('is closed in each of its subpaths, and its closed ones stay as they are', () => {
    expect(areasOf('<path d="M20 20h10v10h-10M40 40h10v10h-10zM60 60h10v10h-10"/>')).toEqual([300]);
  });

  it('is first joined with lines that close it', () => {
    const halves =
      '<path d="M20 20h10v10" fill="red" stroke="#000"/><path d="M30 30h-10v-10" stroke="#00f"/>';
    expect(areasOf(halves)).toEqual([100]);
    // Ends that meet and do not close make nothing: each is filled by itself.
    expect(areasOf('<path d="M20 20h10v10"/><path d="M30 30h10v10"/>')).toEqual([50, 50]);
  });

  it('is cut as drawn with the closing line only where no stroke shows what is drawn', () => {
    const bytes = bytesOf(page(`<path ${threeSides} fill="red" stroke="#000"/><path d="M50 20h10v10h-10"/>`));
    const text = 'drawing: d.svg\ncut: {kind: as-drawn}\n';
    const { rows } = listJob({ path: 'job.yaml', text }, { read: () => bytes });
    expect(rows.map(({ closed }) => closed)).toEqual([false, true]);
  });
});
