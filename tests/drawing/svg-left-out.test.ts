import { describe, expect, it } from 'vitest';
import { expectPoint, onlyShape, page, readBody, readText } from './svg-text.js';

const dot = '<circle r="1"/>';

describe('what is not displayed is left out, and that is said', () => {
  it.each([
    ['<circle id="c" r="1" display="none"/>', 'it is not displayed (display: none)'],
    ['<circle id="c" r="1" style="fill:red;display:none"/>', 'it is not displayed (display: none)'],
    [`<g id="c" style="display: none !important">${dot}${dot}</g>`, 'it is not displayed (display: none)'],
    ['<circle id="c" r="1" visibility="hidden"/>', 'it is not visible (visibility: hidden)'],
    ['<circle id="c" r="1" style="visibility:collapse"/>', 'it is not visible (visibility: hidden)'],
    ['<g visibility="hidden"><circle id="c" r="1"/></g>', 'it is not visible (visibility: hidden)'],
  ])('%s', (body, why) => {
    const { shapes, leftOut, warnings } = readBody(body);
    expect(shapes).toEqual([]);
    expect(warnings).toEqual([]);
    expect(leftOut).toEqual([{ what: 'hidden element', where: 'line 1 (c)', why }]);
  });

  it('a visible shape in a hidden group is drawn, a displayed one in an undisplayed group is not', () => {
    expect(
      readBody(`<g visibility="hidden"><circle id="c" r="1" visibility="visible"/></g>`).shapes,
    ).toHaveLength(1);
    expect(readBody(`<g display="none"><circle r="1" display="inline"/></g>`).shapes).toHaveLength(0);
  });

  it('a style comes before the attribute', () => {
    expect(readBody('<circle r="1" display="none" style="display:inline"/>').shapes).toHaveLength(1);
  });

  it('quotes, brackets and comments in a style do not confuse it', () => {
    const style = `fill:url(#a;display:none); font-family:'x;display:none'; /* display:none; */ stroke:red`;
    expect(onlyShape(`<circle r="1" style="${style}"/>`).stroke).toBe('#ff0000');
  });
});

describe('what the reader leaves out, it lists with place and reason', () => {
  it('text, pictures, scripts and animation', () => {
    const body = `<text id="t">Fern<tspan>!</tspan></text>\n<image href="a.png"/><script>1</script>
      <foreignObject/><circle r="1"><animate attributeName="r"/></circle><hexagon/>`;
    const { shapes, leftOut, warnings } = readBody(body);
    expect(shapes).toHaveLength(1);
    expect(leftOut.map(({ what, where }) => [what, where])).toEqual([
      ['text', 'line 1 (t)'],
      ['image', 'line 2'],
      ['script', 'line 2'],
      ['foreignObject', 'line 3'],
      ['animate', 'line 3'],
      ['hexagon', 'line 3'],
    ]);
    expect(warnings).toEqual([
      {
        code: 'content-left-out',
        message:
          'Not everything in the drawing was taken over as it stands: text, image, script, foreignObject, animate, hexagon. ' +
          '`reseat list` says where and why.',
      },
    ]);
  });

  it('the warning names six kinds and counts the rest', () => {
    const kinds = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h']
      .map((kind) => `<my-${kind}/><my-${kind}/>`)
      .join('');
    expect(readBody(kinds).warnings[0]!.message).toMatch(
      'my-e (2 times), my-f (2 times) and 2 more. `reseat list`',
    );
  });

  it('a thousand texts make one line', () => {
    const { leftOut } = readBody('<text/>\n'.repeat(1000));
    expect(leftOut).toEqual([
      {
        what: 'text',
        where: 'line 1; line 2; line 3; line 4; and 996 more',
        why: 'letters have no outline of their own here: convert text to paths if it is to be cut',
      },
    ]);
  });

  it('a shape with a clip path, a mask, a filter or markers is taken whole', () => {
    const body = `<g clip-path="url(#k)"><circle id="a" r="1" mask="url(#m)"/></g>
      <circle r="1" style="filter:url(#f);clip-path:none"/><path d="M0 0h1" marker-end="url(#e)"/>
      <clipPath id="k"><rect width="5" height="5"/></clipPath><mask id="m">${dot}</mask><marker>${dot}</marker>
      <pattern>${dot}</pattern><linearGradient/><filter/>`;
    const { shapes, leftOut } = readBody(body);
    expect(shapes).toHaveLength(3);
    expect(leftOut.map(({ what, why }) => [what, why])).toEqual([
      ['clip-path on a g', 'the shape is taken whole, unclipped'],
      ['mask on a circle', 'the shape is taken whole, unmasked'],
      ['filter on a circle', 'the shape is taken as drawn, without the filter'],
      ['marker-end on a path', 'only the line itself is taken, without markers'],
    ]);
  });

  it('rules of a style sheet that are not honoured, where they could matter', () => {
    const sheet = (rules: string): string[] =>
      readBody(`<style>${rules}</style>`).leftOut.map(({ what, where, why }) => `${where}: ${what}: ${why}`);
    expect(sheet('.a { fill: red; opacity: .5 } .a:hover { fill: blue }')).toEqual([]);
    expect(sheet('/* .a:hover { display: none } */ .b { display: none }')).toEqual([]);
    expect(sheet('@font-face { src: url(x) } @keyframes k { to { stroke: red } } @charset "utf-8";')).toEqual(
      [],
    );
    expect(sheet('@media print { .a { fill: red } }')).toEqual([]);
    expect(sheet('\n@media print { .a { transform: scale(2) } }')).toEqual([
      'line 2: style rule @media: its rules hold on a condition and were not applied',
    ]);
    expect(sheet('.b { display: none }\n\n .a,\n .a:hover { stroke: red }')).toEqual([
      'line 3: style rule: its selector was not applied: it uses a pseudo-class',
    ]);
    expect(sheet('<![CDATA[\n a + b { stroke: red } \n svg|a { stroke: red }]]>')).toEqual([
      'line 2: style rule: its selector was not applied: it goes by neighbouring elements',
      'line 3: style rule: its selector was not applied: it names a namespace',
    ]);
    expect(sheet('.a::before { stroke: red } .a { &amp; .b { stroke: red } } % { display: none }')).toEqual([
      'line 1: style rule: its selector was not applied: it uses a pseudo-element',
      'line 1: style rule within another: nested rules were not applied',
      'line 1: style rule: its selector was not applied: it is not understood',
    ]);
    expect(sheet('.a { stroke: var(--line) }')).toEqual([
      'line 1: style stroke: its value hangs on a custom property (var), which is not worked out',
    ]);
    expect(sheet('@import url(other.css);')).toEqual([
      'line 1: style rule @import: other files are not fetched',
    ]);
  });

  it('style sheets for print, and those of other files', () => {
    const print = readBody('<style media="print">.a { display: none }</style><circle class="a" r="1"/>');
    expect(print.shapes).toHaveLength(1);
    expect(print.leftOut).toEqual([
      { what: 'style sheet', where: 'line 1', why: 'it holds for print only and was not applied' },
    ]);
    expect(readText(`<?xml-stylesheet href="a.css"?>\n${page(dot)}`).leftOut).toEqual([
      { what: 'style sheet', where: 'line 1', why: 'it is in another file, and other files are not fetched' },
    ]);
  });

  it('titles, descriptions, gradients and the like are no loss', () => {
    const body = '<title>Fern</title><desc/><metadata/><linearGradient/><view/>';
    expect(readBody(body)).toMatchObject({ shapes: [], leftOut: [], warnings: [] });
  });
});

describe('the box', () => {
  it('is that of the curves, not of their control points', () => {
    const { box } = readBody(
      '<path d="M 10 50 C 10 30 30 30 30 50"/><path d="M 12 50 C 12 10 28 90 28 50"/>',
    );
    // A cubic with controls 20 up reaches 3/4 of it.
    expect(box.maxY).toBeCloseTo(100 - 35, 6);
    expect(box).toMatchObject({ minX: 10, maxX: 30 });
    expectPoint({ x: box.minX, y: box.minY }, 10, 50 - (40 * Math.sqrt(3)) / 6, 6);
  });

  it('holds every segment, one after the other', () => {
    expect(readBody('<path d="M 10 10 L 90 20 M 40 95 h 1"/>').box).toEqual({
      minX: 10,
      minY: 5,
      maxX: 90,
      maxY: 90,
    });
  });
});
