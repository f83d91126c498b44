import { describe, expect, it } from 'vitest';
import type { Drawing } from '../../src/drawing/model/drawing.js';
import type { Arc } from '../../src/geometry/curve.js';
import { expectRefused, onlyShape, page, pathsOf, readBody, readText } from './svg-text.js';

const dot = '<circle r="1"/>';

/** Centre on the page, y from the top, and radius of the circles that were read. */
const circles = (body: string): number[][] =>
  pathsOf(readBody(body)).map(({ segments }) => {
    const { centre, radius } = segments[0] as Arc;
    return [centre.x, 100 - centre.y, radius].map((v) => Math.round(v * 1e9) / 1e9);
  });

describe('names', () => {
  it('a shape knows the ids and labels of all groups around it, innermost first', () => {
    const body = `<g id="panel" xmlns:x="urn:x" x:label="Fern panel"><g><a data-name="Left half" id="left">
      <g id="openings" label="openings"><path id="leaf-1" x:label="First leaf" d="M0 0L1 1"/></g></a></g></g>`;
    const shape = onlyShape(body);
    expect(shape).toMatchObject({
      id: 'leaf-1',
      named: true,
      labels: ['First leaf'],
      element: 'path',
      line: 2,
    });
    expect(shape.layers).toEqual(['openings', 'left', 'Left half', 'panel', 'Fern panel']);
    expect(shape.group!.names).toEqual(['openings']);
    expect(shape.group!.parent!.names).toEqual(['left', 'Left half']);
  });

  it('shapes of the same group share the group, shapes of two groups of the same name do not', () => {
    const [a, b, c] = readBody(`<g id="g">${dot}${dot}</g><g id="g">${dot}</g>`).shapes;
    expect(a!.group).toBe(b!.group);
    expect(a!.group).not.toBe(c!.group);
  });

  it('shapes without an id are named by kind and place in the file', () => {
    const { shapes } = readBody(
      `<rect width="1" height="1"/>${dot}<circle id="" r="2"/><path id="p" d="M0 0h1"/>`,
    );
    expect(shapes.map(({ id, named }) => [id, named])).toEqual([
      ['rect-1', false],
      ['circle-2', false],
      ['circle-3', false],
      ['p', true],
    ]);
  });

  it('a made-up name never takes an id of the file', () => {
    const { shapes } = readBody(`${dot}<circle id="circle-1" r="1"/>`);
    expect(shapes.map(({ id }) => id)).toEqual(['circle-1-', 'circle-1']);
  });

  it('the first of two shapes with the same id keeps it, and the second is said to be renamed', () => {
    const { shapes, leftOut } = readBody('<circle id="A" r="1"/>\n<rect id="A" width="1" height="1"/>');
    expect(shapes.map(({ id, named }) => [id, named])).toEqual([
      ['A', true],
      ['rect-2', false],
    ]);
    expect(leftOut).toEqual([
      {
        what: 'id used twice',
        where: 'line 2 (A, here rect-2)',
        why: 'the first shape with an id keeps it, and the others are named by kind and place in the file',
      },
    ]);
  });

  it('the stroke comes from the shape, its style, or the groups around it', () => {
    const body = `<g stroke="red">${dot}<circle r="1" stroke="#00f"/><circle r="1" stroke="#00f" style="stroke: green !important"/></g>${dot}`;
    expect(readBody(body).shapes.map(({ stroke }) => stroke)).toEqual([
      '#ff0000',
      '#0000ff',
      '#008000',
      undefined,
    ]);
  });
});

describe('use, symbol and defs (W3C SVG 2, section 5)', () => {
  it('defs and symbols are not drawn where they stand', () => {
    expect(readBody(`<defs>${dot}<g>${dot}</g></defs><symbol id="s">${dot}</symbol>`).shapes).toEqual([]);
  });

  it('a use shows its element moved by x and y, inside its own transform', () => {
    const body =
      '<defs><circle id="c" cx="1" cy="2" r="3"/></defs><use href="#c" x="10" y="20" transform="scale(2)"/>';
    expect(circles(body)).toEqual([[22, 44, 6]]);
  });

  it('a use may come before its element, refer to one that is drawn itself, and to a group', () => {
    const body =
      '<use xlink:href="#g" x="10"/><g id="g" transform="translate(0 5)"><circle r="1"/><circle cx="3" r="1"/></g>';
    expect(circles(body)).toEqual([
      [10, 5, 1],
      [13, 5, 1],
      [0, 5, 1],
      [3, 5, 1],
    ]);
  });

  it('what uses show comes in the order of the file, and so does what is left out, wherever that stands', () => {
    const shown =
      '<symbol id="s"><circle r="1"/><circle r="0"/></symbol><g id="row"><use href="#s" x="3"/><text>a</text></g>';
    const uses =
      '<circle r="9"/><use href="#row"/><circle r="8"/><use href="#gone"/><use href="#s" y="7"/><path d="M0 0"/>';
    const [before, behind] = [`<defs>${shown}</defs>${uses}`, `${uses}<defs>${shown}</defs>`].map(readBody);
    const told = ({ shapes, leftOut }: Drawing) => ({
      shapes: shapes.map(({ id, layers, paths }) => [id, layers, paths.map(({ segments }) => segments)]),
      leftOut: leftOut.map(({ what, where, why }) => [what, where, why]),
    });
    expect(told(before!)).toEqual(told(behind!));
    expect(before!.shapes.map(({ id }) => id)).toEqual(['circle-1', 'circle-2', 'circle-3', 'circle-4']);
    expect(before!.leftOut.map(({ what }) => what)).toEqual(['path', 'clipping', 'circle', 'text', 'use']);
  });

  it('an instance of one shape bears the id of the use; the ids of what it shows are names for all instances', () => {
    const body =
      '<circle id="peg" r="1"/><g id="marks"><use id="A" href="#peg" x="5"/><use href="#peg" x="9"/></g>';
    expect(
      readBody(body).shapes.map(({ id, named, labels, layers }) => ({ id, named, labels, layers })),
    ).toEqual([
      { id: 'peg', named: true, labels: undefined, layers: [] },
      { id: 'A', named: true, labels: ['peg'], layers: ['A', 'marks'] },
      { id: 'circle-3', named: false, labels: ['peg'], layers: ['marks'] },
    ]);
  });

  it('an instance of several shapes is a group with the names of the use and of what it shows', () => {
    const body = `<defs><g id="cross"><path id="bar" d="M-1 0h2"/><path d="M0 -1v2"/></g></defs>
      <g id="marks"><use id="A" href="#cross"/><use id="B" href="#cross" x="9"/></g>`;
    const { shapes } = readBody(body);
    expect(shapes.map(({ id }) => id)).toEqual(['path-1', 'path-2', 'path-3', 'path-4']);
    expect(shapes.map(({ layers }) => layers)).toEqual([
      ['A', 'cross', 'marks'],
      ['A', 'cross', 'marks'],
      ['B', 'cross', 'marks'],
      ['B', 'cross', 'marks'],
    ]);
    expect(shapes[0]!.group).toBe(shapes[1]!.group);
    expect(shapes[0]!.group).not.toBe(shapes[2]!.group);
  });

  it('an instance has the names that its use and what it shows have, whichever of them has one', () => {
    const layersOf = (use: string, shown: string) => {
      const body = `<defs><g label="${shown}" id="k"><g><path d="M0 0h1"/></g><path d="M0 0v1"/></g></defs>
        <g id="panel"><g><use ${use} href="#k"/></g></g>`;
      const { shapes } = readBody(body);
      expect(shapes[0]!.group).toBe(shapes[1]!.group);
      expect(shapes[0]!.layers).toEqual(shapes[1]!.layers);
      return [shapes[0]!.layers, shapes[0]!.group!.names, shapes[0]!.group!.parent?.names];
    };
    expect(layersOf('id="u"', 'peg')).toEqual([['u', 'k', 'peg', 'panel'], ['u', 'k', 'peg'], ['panel']]);
    expect(layersOf('', '')).toEqual([['k', 'panel'], ['k'], ['panel']]);
    const [symbol] = readBody(
      '<symbol id="s"><path d="M0 0h1"/></symbol><g id="panel"><use label="u" href="#s"/></g>',
    ).shapes;
    expect(symbol!.layers).toEqual(['u', 's', 'panel']);
    expect(symbol!.group!.parent!.names).toEqual(['panel']);
  });

  it('groups without a name are none', () => {
    const [first, second, third] = readBody(
      '<g><path d="M0 0h1"/><g id="a"><g><g><path d="M0 0h2"/></g></g><path d="M0 0h3"/></g></g>',
    ).shapes;
    expect(first!.group).toBeUndefined();
    expect(second!.group).toEqual({ names: ['a'], parent: undefined });
    expect(third!.group).toBe(second!.group);
  });

  it('uses show uses', () => {
    const body = `<defs><circle id="c" r="1"/><g id="row"><use href="#c"/><use href="#c" x="5"/></g></defs>
      <use href="#row"/><use href="#row" y="7"/>`;
    expect(circles(body)).toEqual([
      [0, 0, 1],
      [5, 0, 1],
      [0, 7, 1],
      [5, 7, 1],
    ]);
  });

  it('a symbol with a viewBox is fitted into the size of the use', () => {
    const symbol = '<symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="5"/></symbol>';
    expect(circles(`${symbol}<use href="#s" x="20" y="10" width="40" height="20"/>`)).toEqual([[40, 20, 10]]);
    const left = symbol.replace('viewBox', 'preserveAspectRatio="xMinYMax slice" viewBox');
    expect(circles(`${left}<use href="#s" x="20" y="10" width="40" height="20"/>`)).toEqual([[40, 10, 20]]);
    // Without a size on the use the symbol's own counts, else the whole window.
    expect(circles(`${symbol.replace('id=', 'width="20" height="20" id=')}<use href="#s"/>`)).toEqual([
      [10, 10, 10],
    ]);
    expect(circles(`${symbol}<use href="#s"/>`)).toEqual([[50, 50, 50]]);
  });

  it('a symbol without a viewBox is not scaled', () => {
    expect(
      circles(
        '<symbol id="s"><circle cx="5" cy="5" r="5"/></symbol><use href="#s" x="1" width="40" height="20"/>',
      ),
    ).toEqual([[6, 5, 5]]);
  });

  it('a nested svg has a window, a viewBox and percentages of its own', () => {
    const svg =
      '<svg x="10" y="20" width="50" height="30" viewBox="0 0 100 60"><circle cx="50%" cy="50%" r="6"/></svg>';
    expect(circles(svg)).toEqual([[35, 35, 3]]);
    expect(
      circles('<svg x="10" y="20" width="50%" height="30%"><circle cx="50%" cy="50%" r="6"/></svg>'),
    ).toEqual([[35, 35, 6]]);
    const used = `<defs><svg id="s" width="10" height="10" viewBox="0 0 10 10"><circle cx="5" cy="5" r="5"/></svg></defs>`;
    expect(circles(`${used}<use href="#s" width="40" height="40"/>`)).toEqual([[20, 20, 20]]);
  });

  it('what reaches out of such a window is taken whole, and that is said', () => {
    const svg = (more: string): string =>
      `<svg x="10" width="20" height="20" ${more}><circle id="c" cx="19" cy="5" r="3"/></svg>`;
    expect(readBody(svg('')).leftOut).toEqual([
      {
        what: 'clipping',
        where: 'line 1 (c)',
        why: 'it is taken whole, though it reaches beyond the window of a symbol or nested svg',
      },
    ]);
    expect(readBody(svg('overflow="visible"')).leftOut).toEqual([]);
    expect(readBody(svg('viewBox="0 0 30 30"')).leftOut).toEqual([]);
  });

  it('a window without size shows nothing', () => {
    const { shapes, leftOut } = readBody(
      `<svg id="s" width="0">${dot}</svg><svg viewBox="0 0 0 5">${dot}</svg>`,
    );
    expect(shapes).toEqual([]);
    expect(leftOut).toEqual([
      { what: 'svg', where: 'line 1 (s); line 1', why: 'its window has no width or no height' },
    ]);
  });

  it('a use of nothing, of another file or of a missing element is left out', () => {
    const body = '<use/><use id="u" href="other.svg#leaf"/><use href="#"/><use href="#missing"/>';
    expect(readBody(body).leftOut).toEqual([
      { what: 'use', where: 'line 1; line 1 (u); line 1', why: 'it refers to no element of this file' },
      { what: 'use', where: 'line 1', why: 'it refers to #missing, which is not in this file' },
    ]);
  });

  it('a fault inside an instance is told with its own line', () => {
    const body = '<defs>\n<path id="leaf" d="M 0 0 L x"/></defs>\n<use href="#leaf"/>';
    expectRefused(page(body), '"x" in the attribute d; expected a number', {
      line: 2,
      column: 28,
      element: 'leaf',
    });
    expectRefused(page('<circle id="c" r="1"/><use id="u" href="#c" x="q"/>'), '"q" in the attribute x', {
      element: 'u',
    });
  });
});

describe('switch and conditions', () => {
  it('a child that is chosen and left out is not replaced by the next', () => {
    expect(readBody(`<switch><text/>${dot}</switch>`).shapes).toEqual([]);
  });

  it('the first child without an unmet condition is drawn, and no other', () => {
    const body = `<switch><foreignObject requiredExtensions="urn:x"/><g><circle r="1"/></g><g><circle r="2"/></g></switch>`;
    expect(circles(body)).toEqual([[0, 0, 1]]);
    expect(readBody(`<switch><circle systemLanguage="de" r="3"/><circle r="4"/></switch>`).leftOut).toEqual([
      {
        what: 'circle',
        where: 'line 1',
        why: 'it is drawn for other languages than English only (systemLanguage)',
      },
    ]);
  });
});

describe('sizes as styles', () => {
  it('are refused on instances and nested drawings, where they would count', () => {
    expectRefused(
      page(`<svg style="width:5px">${dot}</svg>`),
      'width: 5px as a style; expected the same as an attribute',
    );
    expectRefused(page('<circle id="c" r="1"/><use href="#c" style="x:5"/>'), 'x: 5 as a style');
    expect(readBody(`<g style="width:5px">${dot}</g>`).shapes).toHaveLength(1);
  });
});

describe('namespaces', () => {
  it('SVG elements may bear a prefix, and elements of other namespaces are none of ours', () => {
    const prefixed = `<s:svg xmlns:s="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">
      <s:circle r="1"/><circle r="2"/></s:svg>`;
    expect(readText(prefixed).shapes).toHaveLength(1);
    const foreign = `<x:circle xmlns:x="urn:x" r="1"/><g xmlns="urn:x"><circle r="1"/></g><e:view/>${dot}`;
    expect(readBody(foreign).shapes).toHaveLength(1);
    expect(readBody(foreign).leftOut).toEqual([]);
  });

  it('a drawing without any namespace is read as SVG', () => {
    expect(readText(`<svg width="1mm" height="1mm">${dot}</svg>`).shapes).toHaveLength(1);
  });
});
