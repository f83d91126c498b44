/** Style sheets decide what is seen and in which colour; held against a browser where there is one. */
import { describe, expect, it } from 'vitest';
import { computedStyles, findChromium } from './chromium.js';
import { expectRefused, inputErrorOf, page, readBody, readText } from './svg-text.js';

/** Ids and strokes of what is drawn. */
const seen = (body: string): string[] =>
  readBody(body).shapes.map(({ id, stroke }) => `${id} ${stroke ?? '-'}`);

const shapes =
  '<g id="g" class="leaf big"><circle id="a" class="vein" r="1"/><rect id="b" width="1" height="1"/></g>';
const styled = (rules: string, body = shapes): string[] => seen(`<style>${rules}</style>${body}`);

describe('a style sheet', () => {
  it.each([
    ['circle { stroke: red }', ['a #ff0000', 'b -']],
    ['* { stroke: red }', ['a #ff0000', 'b #ff0000']],
    ['.vein { stroke: red }', ['a #ff0000', 'b -']],
    ['.leaf.big { stroke: red }', ['a #ff0000', 'b #ff0000']],
    ['#b { stroke: red }', ['a -', 'b #ff0000']],
    ['rect[width] { stroke: red }', ['a -', 'b #ff0000']],
    ['[id="a"], [class~=big] > rect { stroke: red }', ['a #ff0000', 'b #ff0000']],
    ['[id^=x], [class|=vein], [id$="b" i] { stroke: red }', ['a #ff0000', 'b #ff0000']],
    ['svg > circle { stroke: red } g > circle { stroke: lime }', ['a #00ff00', 'b -']],
    ['svg circle { stroke: red }', ['a #ff0000', 'b -']],
    [':root { stroke: red }', ['a #ff0000', 'b #ff0000']],
    ['g { stroke: red } .vein { stroke: none }', ['a none', 'b #ff0000']],
    ['g { stroke: currentColor; color: red } rect { color: rgb(0, 0, 255) }', ['a #ff0000', 'b #0000ff']],
    ['.vein { display: none }', ['b -']],
    ['g { visibility: hidden } rect { visibility: visible }', ['b -']],
    ['g { display: none } rect { display: inline }', []],
    ['\\.vein { stroke: red } .v\\65 in { stroke: lime }', ['a #00ff00', 'b -']],
    ['circle { stroke: rouge; stroke: red; stroke: }', ['a #ff0000', 'b -']],
    ['<!-- an XML comment, not of CSS --> circle { stroke: red }', ['a #ff0000', 'b -']],
  ])('%s', (rules, expected) => {
    expect(styled(rules)).toEqual(expected);
  });

  it('goes by specificity, then by order, then by importance; attributes come last', () => {
    const circle = (attributes: string): string => `<circle id="c" class="k" r="1" ${attributes}/>`;
    const strokeOf = (rules: string, attributes = '') => styled(rules, circle(attributes))[0]!.slice(2);
    expect(strokeOf('#c { stroke: red } .k { stroke: lime } circle { stroke: blue }')).toBe('#ff0000');
    expect(strokeOf('.k { stroke: red } .k { stroke: lime }')).toBe('#00ff00');
    expect(strokeOf('.k { stroke: red !important } #c { stroke: lime }')).toBe('#ff0000');
    expect(strokeOf('.k { stroke: red }', 'stroke="lime"')).toBe('#ff0000');
    expect(strokeOf('.k { stroke: red }', 'stroke="lime" style="stroke:blue"')).toBe('#0000ff');
    expect(strokeOf('.k { stroke: red ! important }', 'style="stroke:blue"')).toBe('#ff0000');
    expect(strokeOf('.k { stroke: red !important }', 'style="stroke:blue !important"')).toBe('#0000ff');
  });

  it('counts wherever it stands, also behind the shapes, and in several pieces', () => {
    expect(seen(`${shapes}<defs><style>.vein { display: none }</style></defs>`)).toEqual(['b -']);
    expect(
      seen(`<style>.vein { stroke: red }</style>${shapes}<style><![CDATA[#b]]> { stroke: lime }</style>`),
    ).toEqual(['a #ff0000', 'b #00ff00']);
  });

  it('reaches into what a use shows, but not past it', () => {
    const body =
      '<g class="outer"><defs><g id="g"><rect id="r" width="1" height="1"/></g></defs></g><g class="on"><use id="u" href="#g"/></g>';
    expect(styled('.outer rect, .on rect { stroke: red }', body)).toEqual(['u -']);
    expect(styled('#g > rect { stroke: red }', body)).toEqual(['u #ff0000']);
    expect(styled('.on { stroke: red }', body)).toEqual(['u #ff0000']);
  });

  it('with rules that move or shape what they reach is refused, as a style attribute is', () => {
    expectRefused(page('<style>circle { r: 5px }</style><circle id="c" r="1"/>'), 'r: 5px as a style', {
      element: 'c',
    });
    expectRefused(
      page('<style>.m { transform: scale(2) }</style><g id="g" class="m"/>'),
      'transform: scale(2) as a style',
    );
    expect(seen('<style>.m { transform: scale(2) }</style><circle id="c" r="1"/>')).toEqual(['c -']);
  });
});

describe('a hostile style sheet is refused with its line', () => {
  it.each([
    [
      'a block that is never closed',
      '\n.a { stroke: red }\n.b { stroke: red',
      3,
      '"{" in a style sheet without its "}"',
    ],
    [
      'a bracket that is never closed',
      '.a { }\n.b[x { stroke: red }',
      2,
      '"[" in a style sheet without its "]"',
    ],
    [
      'a block in an at-rule that is never closed',
      '@media print { .a { }',
      1,
      '"{" in a style sheet without its "}"',
    ],
    ['brackets in brackets in brackets', `\n${'a{'.repeat(500)}`, 2, 'brackets nested more than 64 deep'],
    [
      'parentheses in parentheses',
      `\n\n.a { fill: ${'('.repeat(5000)}`,
      3,
      'brackets nested more than 64 deep',
    ],
  ])('%s', (_what, rules, line, message) => {
    expectRefused(page(`<style>${rules}</style>`), message, { line, element: 'style' });
  });

  it('where there are too many rules or too much of them', () => {
    const many = '.a{stroke:red}'.repeat(25_000);
    expectRefused(
      page(`\n<style>${many}</style>`),
      'style sheets with 25000 selectors; expected at most 20000',
      { line: 2 },
    );
    const long = `/*${' '.repeat(3_000_000)}*/`;
    expectRefused(page(`<style>${long}</style>`), 'style sheets of more than 2 million characters', {
      line: 1,
    });
    const hard = `[y] ${'[x] '.repeat(30)}a{stroke:red}`;
    const deep = `${'<g x="">'.repeat(200)}${'<a/>'.repeat(20)}`;
    const error = inputErrorOf(() => readText(page(`<style>${hard}</style>${deep}${'</g>'.repeat(200)}`)));
    expect(error.message).toMatch('too many elements would have to be tried');
  });
});

const chromium = findChromium();

describe('against a browser', () => {
  it('random sheets give the same elements the same stroke and visibility', async (context) => {
    if ('missing' in chromium) {
      console.warn(`style sheets are not held against a browser: ${chromium.missing}`);
      context.skip(chromium.missing);
      return;
    }
    const drawings = randomDrawings(150);
    const theirs = await computedStyles(chromium.program, drawings);
    const ours = drawings.map(seenOf);
    expect(ours).toEqual(theirs);
    expect(new Set(ours.flat().map((one) => one.replace(/^\S+ /, ''))).size).toBeGreaterThan(6);
    console.log(
      `style sheets: ${ours.flat().length} shapes in ${drawings.length} drawings agree with Chromium`,
    );
  });
});

const seenOf = (svg: string): string[] =>
  readText(svg).shapes.map(({ id, stroke }) => `${id} ${stroke ?? 'none'}`);

/** Groups and circles with classes, ids and styles drawn at random, below a random sheet. */
const randomDrawings = (count: number): string[] => {
  let state = 20261125;
  const below = (n: number): number => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * n);
  };
  const one = <T>(...list: readonly T[]): T => list[below(list.length)]!;
  const simple = (): string =>
    one(
      'g',
      'circle',
      '*',
      '.a',
      '.b',
      '.c',
      '#i1',
      '#i2',
      '[class]',
      '[class~=a]',
      '[r="2"]',
      '[id^=i]',
      'g.a',
      '.a.b',
      'circle.c',
    );
  const selector = (): string =>
    Array.from({ length: 1 + below(3) }, simple).reduce(
      (outer, inner) => `${outer}${one(' ', ' > ', '>')}${inner}`,
    );
  const colour = (): string =>
    one(
      'red',
      '#0f0',
      '#0000FF80',
      'rgb(10,20,30)',
      'rgb(10% 20% 30%)',
      'currentColor',
      'none',
      'inherit',
      'initial',
      'bogus',
      'hsl(200, 50%, 40%)',
    );
  const declaration = (): string => {
    const value = one(
      `stroke: ${colour()}`,
      `stroke: ${colour()}`,
      `color: ${one('red', 'teal', 'inherit', 'initial')}`,
      `visibility: ${one('hidden', 'visible', 'inherit', 'nonsense')}`,
      `display: ${one('none', 'inline', 'block')}`,
    );
    return value + one('', '', ' !important');
  };
  const block = (): string => Array.from({ length: 1 + below(3) }, declaration).join(';');
  let ids = 0;
  const element = (depth: number): string => {
    ids += 1;
    const attributes = [
      `id="i${ids}"`,
      below(2) === 0 ? `class="${one('a', 'b', 'c', 'a b', 'b  c')}"` : '',
      below(4) === 0 ? `stroke="${colour()}"` : '',
      below(8) === 0 ? `color="${one('navy', 'olive')}"` : '',
      below(10) === 0 ? `visibility="${one('hidden', 'visible', 'collapse')}"` : '',
      below(4) === 0 ? `style="${block()}"` : '',
    ].join(' ');
    if (depth === 0 || below(3) === 0) return `<circle r="${1 + below(3)}" ${attributes}/>`;
    return `<g ${attributes}>${Array.from({ length: 1 + below(3) }, () => element(depth - 1)).join('')}</g>`;
  };
  return Array.from({ length: count }, () => {
    ids = 0;
    const rules = Array.from(
      { length: 1 + below(6) },
      () => `${selector()}${below(3) === 0 ? `, ${selector()}` : ''} { ${block()} }`,
    );
    return page(`<style>${rules.join('\n')}</style>${element(3)}${element(3)}`);
  });
};
