/** Transforms that a style states, held against those that Chromium applies. */
import { describe, expect, it } from 'vitest';
import { endOf, startOf } from '../../src/geometry/curve.js';
import { findChromium, inChromium } from './chromium.js';
import { expectRefused, page, readText } from './svg-text.js';

const rules = [
  ['a turn', 'transform: rotate(30deg)'],
  ['other angles', 'transform: rotate(0.1turn) rotate(20grad) rotate(-0.2rad)'],
  ['a shift in px and mm', 'transform: translate(12px, 1mm)'],
  ['a shift by a share of the view', 'transform: translate(10%, 25%)'],
  [
    'single axes',
    'transform: translateX(5px) translateY(-3px) scaleX(1.5) scaleY(80%) skewX(10deg) skewY(5deg)',
  ],
  ['a skew in both axes', 'transform: skew(20deg, 10deg)'],
  ['a matrix', 'transform: matrix(1, 0.2, -0.3, 0.9, 4, 5)'],
  ['capitals', 'transform: ROTATE(15DEG) translatex(4PX)'],
  ['a shift in space', 'transform: translate3d(3px, 4px, 5px) rotateZ(9deg) translateZ(0)'],
  ['none, over an attribute', 'transform: none'],
  ['about the middle of the view', 'transform: rotate(40deg); transform-origin: center'],
  ['about a corner of the view', 'transform: rotate(40deg); transform-origin: right bottom'],
  ['about a corner, the axes exchanged', 'transform: rotate(40deg); transform-origin: bottom left'],
  ['about a place', 'transform: scale(2); transform-origin: 20px 30%'],
  ['about one word', 'transform: scale(2); transform-origin: top'],
  ['about its own middle', 'transform: rotate(40deg); transform-origin: 50% 50%; transform-box: fill-box'],
  ['by a share of itself', 'transform: translate(50%, -100%); transform-box: fill-box'],
  ['an attribute about its own middle', 'transform-origin: center; transform-box: fill-box'],
  ['about its own corner', 'transform: skewX(20deg); transform-box: fill-box; transform-origin: 0 0'],
] as const;

const line = (style: string): string =>
  page(
    `<line transform="rotate(11) translate(3 4)" style="${style}" x1="10" y1="20" x2="40" y2="35"/>`,
    'width="100mm" height="80mm" viewBox="5 7 100 80"',
  );
const attributes = [
  ['an attribute for the origin', '<g transform="rotate(30)" transform-origin="50 50">'],
  ['an attribute in words', '<g transform="rotate(30)" transform-origin="center">'],
  ['a style for the origin', '<g transform="scale(2)" style="transform-origin: 10px 20px">'],
  ['a style of a group', '<g style="transform: rotate(20deg)">'],
] as const;
const grouped = (open: string): string =>
  page(
    `${open}<line x1="10" y1="20" x2="40" y2="35"/></g>`,
    'width="100mm" height="80mm" viewBox="0 0 100 80"',
  );

const drawings = [...rules.map(([, style]) => line(style)), ...attributes.map(([, open]) => grouped(open))];

describe('transforms as styles (W3C CSS Transforms Module Level 1)', () => {
  it('put a line where a browser puts it', async (context) => {
    const chromium = findChromium();
    if ('missing' in chromium) return context.skip(chromium.missing);
    const theirs = await inChromium<readonly string[], number[][]>(
      chromium.program,
      drawings,
      `return input.map((text) => {
  const host = document.createElement('div');
  host.style.cssText = 'position: absolute; left: 0; top: 0';
  document.body.append(host);
  host.append(document.importNode(new DOMParser().parseFromString(text, 'image/svg+xml').documentElement, true));
  const line = host.querySelector('line');
  const map = line.getCTM();
  const found = [[line.x1, line.y1], [line.x2, line.y2]].flatMap(([x, y]) => {
    const p = new DOMPoint(x.baseVal.value, y.baseVal.value).matrixTransform(map);
    return [p.x, p.y];
  });
  host.remove();
  return found;
});`,
    );
    for (const [i, text] of drawings.entries()) {
      const { page: sheet, shapes } = readText(text);
      const [s] = shapes[0]!.paths[0]!.segments;
      const px = 96 / 25.4;
      const ours = [startOf(s!), endOf(s!)].flatMap((p) => [p.x * px, (sheet!.maxY - p.y) * px]);
      const name = [...rules, ...attributes][i]![0];
      for (const [k, value] of ours.entries()) expect(value, name).toBeCloseTo(theirs[i]![k]!, 1);
    }
  });

  it('are refused where what they refer to is not known, or is calculated', () => {
    const group =
      '<g style="transform: rotate(9deg); transform-box: fill-box; transform-origin: center"><path d="M0 0L1 1"/></g>';
    expectRefused(page(group), 'transform-box: fill-box as a style');
    expectRefused(
      page('<path style="transform: rotate(calc(1deg + 2deg))" d="M0 0L1 1"/>'),
      'transform: rotate(calc',
    );
    expectRefused(
      page('<path style="transform: perspective(9px)" d="M0 0L1 1"/>'),
      'transform: perspective(9px)',
    );
  });
});
