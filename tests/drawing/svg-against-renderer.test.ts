/**
 * The reader against a renderer of other descent (librsvg, by way of sharp): a drawing and what was read of it, written
 * out again as plain paths in millimetres, have to give the same picture.
 */
import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import type { Drawing } from '../../src/drawing/model/drawing.js';
import { pathData } from '../../src/drawing/write/path-data.js';
import { page as pageOf, readText } from './svg-text.js';

/** 127 mm are 5 in, 480 px: pages of whole pixels, so that nothing has to be resampled. */
const page = (body: string, root = 'width="127mm" height="127mm" viewBox="0 0 100 100"'): string =>
  pageOf(body, root);

const picture = async (svg: string): Promise<Buffer> =>
  sharp(Buffer.from(svg), { density: 96 }).flatten({ background: '#fff' }).greyscale().raw().toBuffer();

const writtenOut = ({ shapes, page: sheet }: Drawing): string => {
  const { maxX, maxY } = sheet!;
  const paths = shapes.map(
    (shape) => `<path d="${shape.paths.map((path) => pathData(path, [1, 0, 0, -1, 0, maxY], 6)).join('')}"/>`,
  );
  return page(paths.join(''), `width="${maxX}mm" height="${maxY}mm" viewBox="0 0 ${maxX} ${maxY}"`);
};

/** The share of pixels that differ by more than a quarter of the way from white to black, and the share of black ones. */
const compare = async (svg: string): Promise<{ readonly apart: number; readonly black: number }> => {
  const [theirs, ours] = [await picture(svg), await picture(writtenOut(readText(svg)))];
  let apart = 0;
  let black = 0;
  for (let i = 0; i < theirs.length; i += 1) {
    if (Math.abs(theirs[i]! - ours[i]!) > 64) apart += 1;
    if (theirs[i]! < 128) black += 1;
  }
  return { apart: apart / theirs.length, black: black / theirs.length };
};

const expectSamePicture = async (svg: string): Promise<void> => {
  const { apart, black } = await compare(svg);
  expect(black).toBeGreaterThan(0.002);
  expect(apart).toBeLessThanOrEqual(1e-4);
};

const leaf = 'M10 10c10-20 30-20 40 0s10 30 40 20q-20 30-40 0t-30 10a30 20 20 0 1-20-4A14 14 0 1 1 10 10z';

describe('the picture of what was read is the picture of the drawing', () => {
  it.each([
    ['path data of every kind', page(`<path d="${leaf}"/><path d="M60 60h20v20H60zm5 5v10h10v-10z"/>`)],
    [
      'arcs of every kind',
      page(
        [0, 1, 2, 3]
          .map(
            (i) =>
              `<path d="M ${10 + 22 * i} 30 a 9 5 ${30 * i} ${i >> 1} ${i & 1} 12 6 z M ${10 + 22 * i} 70 a 3 3 0 ${i & 1} ${i >> 1} 12 6 z"/>`,
          )
          .join(''),
      ),
    ],
    [
      'basic shapes',
      page(
        '<rect x="5" y="5" width="30" height="20" rx="8" ry="3"/><rect x="50" y="5" width="30" height="20" ry="40"/><circle cx="20" cy="60" r="9"/><ellipse cx="60" cy="60" rx="20" ry="9" transform="rotate(30 60 60)"/><polygon points="5,90 20,75 35,95"/>',
      ),
    ],
    [
      'transforms',
      page(
        `<g transform="translate(50 50) rotate(35) skewX(20) scale(.6 -.4)"><path d="${leaf}"/><g transform="matrix(1 .2 -.3 .8 -40 10)"><path d="${leaf}"/></g></g>`,
      ),
    ],
    [
      'use and symbol',
      page(
        `<symbol id="s" viewBox="0 0 100 50" preserveAspectRatio="xMaxYMin" overflow="visible"><path d="${leaf}"/></symbol><defs><g id="g" transform="scale(.3)"><path d="${leaf}"/></g></defs><use href="#s" x="5" y="5" width="40" height="40"/><use href="#g" x="50" y="60" transform="rotate(10)"/>`,
      ),
    ],
    [
      'a nested svg that is stretched',
      page(
        `<svg x="10" y="20" width="80" height="30" viewBox="0 0 100 100" preserveAspectRatio="none" overflow="visible"><path d="${leaf}"/></svg>`,
      ),
    ],
    [
      'a nested svg that is sliced',
      page(
        `<svg x="10" y="20" width="80" height="30" viewBox="0 0 100 60" preserveAspectRatio="xMidYMax slice"><path transform="translate(20 33) scale(.5)" d="${leaf}"/></svg>`,
      ),
    ],
    [
      'a page without viewBox',
      page(`<path d="${leaf}"/><circle cx="1in" cy="2cm" r="9mm"/>`, 'width="127mm" height="101.6mm"'),
    ],
    [
      'a page with spare room',
      page(
        `<path d="${leaf}"/>`,
        'width="127mm" height="63.5mm" viewBox="-10 -20 150 120" preserveAspectRatio="xMaxYMid"',
      ),
    ],
    [
      'percentages',
      page(
        '<rect x="10%" y="20%" width="30%" height="10%"/><circle cx="60%" cy="70%" r="10%"/>',
        'width="127mm" height="63.5mm" viewBox="0 0 200 120"',
      ),
    ],
    [
      'hidden and shown parts',
      page(
        `<g display="none"><path d="${leaf}"/></g><g visibility="hidden"><rect width="9" height="9"/><rect x="20" width="19" height="19" visibility="visible"/></g><rect style="display:none" width="90" height="90"/>`,
      ),
    ],
  ])('%s', async (_name, svg) => {
    await expectSamePicture(svg);
  });

  it('for random path data under random transforms', async () => {
    const number = fc.integer({ min: -400, max: 400 }).map((n) => n / 10);
    const list = (count: number) =>
      fc.array(number, { minLength: count, maxLength: count }).map((n) => n.join(' '));
    const flag = fc.constantFrom('0', '1');
    const command = fc.oneof(
      fc.tuple(fc.constantFrom('l', 'L', 't', 'T'), list(2)).map((p) => p.join('')),
      fc.tuple(fc.constantFrom('h', 'H', 'v', 'V'), list(1)).map((p) => p.join('')),
      fc.tuple(fc.constantFrom('c', 'C'), list(6)).map((p) => p.join('')),
      fc.tuple(fc.constantFrom('s', 'S', 'q', 'Q'), list(4)).map((p) => p.join('')),
      fc
        .tuple(fc.constantFrom('a', 'A'), list(3), flag, flag, list(2))
        .map(([a, r, x, y, end]) => `${a}${r} ${x}${y}${end}`),
      fc.constantFrom('z', 'zm5-3', 'M3 3'),
    );
    const transform = fc
      .tuple(number, number, number)
      .map(
        ([x, angle, size]) =>
          `translate(${x / 2} ${-x / 2}) rotate(${9 * angle}) scale(${0.5 + Math.abs(size) / 80} .7)`,
      );
    await fc.assert(
      fc.asyncProperty(
        fc.array(command, { minLength: 3, maxLength: 9 }),
        transform,
        async (commands, map) => {
          const svg = page(`<g transform="translate(50 50) ${map}"><path d="M0 0${commands.join('')}"/></g>`);
          expect((await compare(svg)).apart).toBeLessThanOrEqual(1e-4);
        },
      ),
      { seed: 20261125, numRuns: 60 },
    );
  });
});
