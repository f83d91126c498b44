import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Drawing } from '../../src/drawing/model/drawing.js';
import { readSvg } from '../../src/drawing/svg/svg.js';
import { InputError } from '../../src/job/messages.js';
import { plainShapes } from './plain-shapes.js';
import { bytesOf, readText } from './svg-text.js';

describe('any file at all', () => {
  const valid = `<?xml version="1.0"?>
<!DOCTYPE svg [<!ENTITY r "5">]>
<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80" preserveAspectRatio="xMidYMid">
 <style>.a{fill:red}</style><title>Fern</title>
 <defs><g id="leaf"><path d="M0 0c1-2 3-2 4 0s1 3 4 2q2-3 4 0t3 1a3 2 20 0 1-2 4A4 4 0 1 1 0 0z"/></g>
  <symbol id="peg" viewBox="0 0 4 4"><circle cx="2" cy="2" r="2"/></symbol></defs>
 <g id="openings" label="Openings" transform="translate(10,5) rotate(30 5 5) scale(1.5) skewX(5)">
  <use id="l1" href="#leaf" x="3" y="4"/><use href="#peg" width="6" height="8"/>
  <rect x="1" y="2" width="20" height="10" rx="2"/><ellipse cx="5" cy="6" rx="4" ry="2"/>
 </g>
 <g id="marks"><circle id="A" cx="10" cy="10" r="&r;" style="stroke:#f00;display:inline"/>
  <polyline points="0,0 10,10 20,0"/><polygon points="30 30 40 30 35 45"/><line x1="1" y1="1" x2="9%" y2="2mm"/></g>
 <svg x="5" y="5" width="50%" height="20" viewBox="0 0 10 10"><path d="M1 1H9V9H1Z" visibility="visible"/></svg>
 <text>t</text><switch><g><circle r="1"/></g></switch>
</svg>
`;

  const numbersIn = (value: unknown, found: number[] = []): number[] => {
    if (typeof value === 'number') found.push(value);
    else if (value !== null && typeof value === 'object')
      for (const inner of Object.values(value)) numbersIn(inner, found);
    return found;
  };

  const expectSound = (drawing: Drawing): void => {
    const shapes = plainShapes(drawing);
    const sound = { ...drawing, shapes, box: shapes.length > 0 ? drawing.box : undefined };
    for (const number of numbersIn(sound)) expect(Number.isFinite(number)).toBe(true);
    expect(new Set(drawing.shapes.map(({ id }) => id)).size).toBe(drawing.shapes.length);
    for (const { paths } of drawing.shapes) {
      expect(paths.length).toBeGreaterThan(0);
      for (const { segments } of paths) expect(segments.length).toBeGreaterThan(0);
    }
  };

  /** The drawing, or undefined where it was refused as input. */
  const attempt = (bytes: Uint8Array): Drawing | undefined => {
    try {
      return readSvg(bytes, { path: 'fern.svg' });
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      expect(error.found).not.toMatch(/undefined(?! entity)|NaN mm|\[object/);
      return undefined;
    }
  };

  it('the file these are made from is sound itself', () => {
    const drawing = readText(valid);
    expectSound(drawing);
    expect(drawing.shapes).toHaveLength(10);
  });

  const pieces = [
    '"',
    '<',
    '>',
    '&',
    '0',
    '-',
    '1e999',
    'NaN',
    '.',
    'e',
    'z',
    'M',
    'a',
    '#leaf',
    '<g>',
    '</g>',
    '%',
    'mm',
    ' ',
    '\u0000',
    '1e5',
    '-1e-9',
    '0 0',
    'none',
  ];

  it('with random mistakes is read or refused, and never gives a number that is none', () => {
    const source = bytesOf(valid);
    let read = 0;
    let refused = 0;
    const mistake = fc.record({
      at: fc.nat(source.length - 1),
      cut: fc.oneof(fc.constant(0), fc.integer({ min: 0, max: 30 })),
      put: fc.oneof(fc.constantFrom(...pieces), fc.string({ maxLength: 3 })),
    });
    fc.assert(
      fc.property(fc.array(mistake, { minLength: 1, maxLength: 3 }), (mistakes) => {
        let text = valid;
        for (const { at, cut, put } of mistakes) text = text.slice(0, at) + put + text.slice(at + cut);
        const drawing = attempt(bytesOf(text));
        if (drawing === undefined) refused += 1;
        else {
          read += 1;
          expectSound(drawing);
        }
      }),
      { seed: 20261125, numRuns: 500 },
    );
    // Both ends of the road are travelled.
    expect(read).toBeGreaterThan(20);
    expect(refused).toBeGreaterThan(20);
  });

  it('with numbers exchanged for others is read or refused, and never gives a number that is none', () => {
    const value = fc.oneof(
      fc.double({ noNaN: true, noDefaultInfinity: true }).map(String),
      fc.constantFrom('0', '-0', '1e-320', '1e300', '-1e300', '1e6', '90', '1e-7', '180'),
    );
    const spots = [...valid.matchAll(/\d+(\.\d+)?/g)].filter(({ index }) => index > valid.indexOf('width='));
    let read = 0;
    fc.assert(
      fc.property(fc.nat(spots.length - 1), value, (which, put) => {
        const spot = spots[which]!;
        const text = `${valid.slice(0, spot.index)} ${put} ${valid.slice(spot.index + spot[0].length)}`;
        const drawing = attempt(bytesOf(text));
        if (drawing !== undefined) {
          read += 1;
          expectSound(drawing);
        }
      }),
      { seed: 20261125, numRuns: 500 },
    );
    expect(read).toBeGreaterThan(100);
  });

  it('cut off anywhere is refused', () => {
    for (let end = 0; end < valid.lastIndexOf('</svg>') + 5; end += 7) {
      expect(attempt(bytesOf(valid.slice(0, end)))).toBeUndefined();
    }
  });
});
