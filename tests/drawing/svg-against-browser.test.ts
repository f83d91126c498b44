/** What is read of real SVG files against the geometry that Chromium has of them. */

import svgpath from 'svgpath';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { shapeBox } from '../../src/drawing/model/shape-store.js';
import { pathLength } from '../../src/geometry/measure.js';
import { findChromium, inChromium } from './chromium.js';
import { fetchSvgCorpus, type SvgFile } from './svg-corpus.js';
import { readText } from './svg-text.js';

const fewestFiles = 20;

/** Left, top, right and bottom in user units of the page, y down, and the length of the outline. */
interface Outline {
  readonly box: readonly [number, number, number, number];
  readonly length: number;
}

const chromium = findChromium();
let files: readonly SvgFile[] = [];
let missing: readonly string[] = [];
let theirs: readonly (readonly Outline[])[] = [];

beforeAll(async () => {
  ({ files, missing } = fetchSvgCorpus());
  for (const reason of missing) console.warn(`SVG files that are not held against a browser: ${reason}`);
  if ('missing' in chromium) {
    console.warn(`SVG files are not held against a browser: ${chromium.missing}`);
    return;
  }
  if (files.length === 0) return;
  theirs = await measured(
    chromium.program,
    files.map(({ text }) => text),
  );
}, 300_000);

describe('SVG files from elsewhere', () => {
  it('have their outlines where a browser has them, as long, to a thousandth of their box', (context) => {
    if ('missing' in chromium) context.skip(chromium.missing);
    if (files.length === 0) context.skip(`no SVG files here: ${missing.join('; ')}`);
    let outlines = 0;
    let worstBox = 0;
    let worstLength = 0;
    const apart: string[] = [];
    files.forEach(({ name, text }, i) => {
      const ours = outlinesOf(text);
      const other = theirs[i]!;
      if (ours.length !== other.length) {
        apart.push(`${name}: ${ours.length} shapes, ${other.length} in the browser`);
        return;
      }
      ours.forEach((outline, k) => {
        const { box, length } = other[k]!;
        const size = Math.hypot(box[2] - box[0], box[3] - box[1]);
        const boxMiss = Math.max(...outline.box.map((v, side) => Math.abs(v - box[side]!))) / size;
        const lengthMiss = Math.abs(outline.length - length) / Math.max(size, length);
        outlines += 1;
        worstBox = Math.max(worstBox, boxMiss);
        worstLength = Math.max(worstLength, lengthMiss);
        if (boxMiss > 1e-3 || lengthMiss > 1e-3)
          apart.push(`${name}, shape ${k + 1}: box ${boxMiss}, length ${lengthMiss}`);
      });
    });
    console.log(
      `SVG: ${outlines} outlines of ${files.length} files agree with Chromium; box within ${worstBox.toExponential(1)}, length within ${worstLength.toExponential(1)}`,
    );
    expect(apart).toEqual([]);
    expect(outlines).toBeGreaterThan(files.length);
  });

  it(`are at least ${fewestFiles}`, (context) => {
    if ('missing' in chromium) context.skip(chromium.missing);
    if (missing.length > 0) context.skip(`not all packages could be had: ${missing.join('; ')}`);
    expect(files.length).toBeGreaterThanOrEqual(fewestFiles);
    expect(theirs.filter((outlines) => outlines.length > 0).length).toBeGreaterThanOrEqual(fewestFiles);
  });
});

/** In user units of the page: read as if a unit were a millimetre, the page's corner taken back. */
const outlinesOf = (text: string): Outline[] => {
  const drawing = readText(text, 'mm');
  const [x = 0, y = 0] = (/viewBox\s*=\s*["']([^"']*)/.exec(text)?.[1] ?? '0 0')
    .trim()
    .split(/[\s,]+/)
    .map(Number);
  const height = drawing.page!.maxY;
  return drawing.shapes.map((shape: Shape) => {
    const { minX, minY, maxX, maxY } = shapeBox(shape);
    return {
      box: [minX + x, y + height - maxY, maxX + x, y + height - minY],
      length: shape.paths.reduce((sum, path) => sum + pathLength(path), 0),
    };
  });
};

interface Placed {
  readonly data: string;
  readonly matrix: readonly [number, number, number, number, number, number];
}

/** Chromium measures coarsely where a unit is large, so outlines are measured this many times as large. */
const grown = 1000;

const measured = async (program: string, texts: readonly string[]): Promise<Outline[][]> => {
  const placed = await inChromium<readonly string[], Placed[][]>(program, texts, placing);
  const data = placed.map((file) =>
    file.map((one) =>
      svgpath(one.data)
        .matrix([...one.matrix])
        .scale(grown)
        .round(6)
        .toString(),
    ),
  );
  return inChromium<readonly string[][], Outline[][]>(program, data, measuring);
};

/** Every drawn outline of each file, in order, and the matrix from its units to those of the page. */
const placing = `
const shapes = 'path, rect, circle, ellipse, line, polyline, polygon';
const unseen = 'defs, symbol, clipPath, mask, marker, pattern, filter, linearGradient, radialGradient';
const svgName = 'http://www.w3.org/2000/svg';
// A script does not see inside a use, so each is replaced by what it shows.
const replaceUses = (svg) => {
  for (let use = svg.querySelector('use'); use; use = svg.querySelector('use')) {
    const id = (use.getAttribute('href') ?? use.getAttributeNS('http://www.w3.org/1999/xlink', 'href') ?? '').slice(1);
    const target = svg.querySelector('#' + CSS.escape(id));
    const group = document.createElementNS(svgName, 'g');
    for (const { name, value } of use.attributes) {
      if (!['x', 'y', 'width', 'height', 'href', 'xlink:href'].includes(name)) group.setAttribute(name, value);
    }
    const shift = 'translate(' + (use.getAttribute('x') ?? 0) + ' ' + (use.getAttribute('y') ?? 0) + ')';
    group.setAttribute('transform', (use.getAttribute('transform') ?? '') + ' ' + shift);
    if (target) group.append(target.cloneNode(true));
    use.replaceWith(group);
  }
};
const round = (cx, cy, rx, ry) => 'M' + (cx - rx) + ' ' + cy + 'a' + rx + ' ' + ry + ' 0 1 0 ' + 2 * rx + ' 0a' + rx + ' ' + ry + ' 0 1 0 ' + -2 * rx + ' 0z';
const dataOf = (element) => {
  const v = (name) => element[name].baseVal.value;
  switch (element.localName) {
    case 'path': return element.getAttribute('d');
    case 'circle': return round(v('cx'), v('cy'), v('r'), v('r'));
    case 'ellipse': return round(v('cx'), v('cy'), v('rx'), v('ry'));
    case 'line': return 'M' + v('x1') + ' ' + v('y1') + 'L' + v('x2') + ' ' + v('y2');
    case 'rect': {
      const [x, y, w, h] = [v('x'), v('y'), v('width'), v('height')];
      const has = (name) => element.hasAttribute(name);
      const rx = Math.min(has('rx') ? v('rx') : v('ry'), w / 2);
      const ry = Math.min(has('ry') ? v('ry') : v('rx'), h / 2);
      const arc = (dx, dy) => 'a' + rx + ' ' + ry + ' 0 0 1 ' + dx + ' ' + dy;
      if (rx === 0 || ry === 0) return 'M' + x + ' ' + y + 'h' + w + 'v' + h + 'h' + -w + 'z';
      return 'M' + (x + rx) + ' ' + y + 'h' + (w - 2 * rx) + arc(rx, ry) + 'v' + (h - 2 * ry) + arc(-rx, ry) + 'h' + (2 * rx - w) + arc(-rx, -ry) + 'v' + (2 * ry - h) + arc(rx, -ry) + 'z';
    }
    default: return 'M' + [...element.points].map(({ x, y }) => x + ' ' + y).join('L') + (element.localName === 'polygon' ? 'z' : '');
  }
};
return input.map((text) => {
  const svg = document.importNode(new DOMParser().parseFromString(text, 'image/svg+xml').documentElement, true);
  document.body.append(svg);
  replaceUses(svg);
  const shown = (element) => {
    if (element.closest(unseen)) return false;
    for (let at = element; at !== svg; at = at.parentNode) if (getComputedStyle(at).display === 'none') return false;
    return getComputedStyle(element).visibility === 'visible' && element.getTotalLength() > 0;
  };
  const toPage = svg.getScreenCTM().inverse();
  const found = [...svg.querySelectorAll(shapes)].filter(shown).map((element) => {
    const { a, b, c, d, e, f } = toPage.multiply(element.getScreenCTM());
    return { data: dataOf(element), matrix: [a, b, c, d, e, f] };
  });
  svg.remove();
  return found;
});`;

const measuring = `
const svg = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
document.body.append(svg);
return input.map((file) => file.map((data) => {
  const path = document.createElementNS('http://www.w3.org/2000/svg', 'path');
  path.setAttribute('d', data);
  svg.append(path);
  const { x, y, width, height } = path.getBBox();
  const length = path.getTotalLength();
  path.remove();
  return { box: [x, y, x + width, y + height].map((v) => v / ${grown}), length: length / ${grown} };
}));`;
