import { describe, expect, it } from 'vitest';
import type { Arc, EllipticalArc } from '../../src/geometry/curve.js';
import { expectRefused, expectSameTrace, onlyPath, onlyShape, page, readBody } from './svg-text.js';

/** The shape traces the same as the path data of the equivalent path that SVG 2, chapter 10 gives. */
const expectPath = (body: string, data: string): void =>
  expectSameTrace(onlyShape(body).paths, onlyShape(`<path d="${data}"/>`).paths, 1e-12);

describe('basic shapes (W3C SVG 2, chapter 10)', () => {
  it('a circle is one closed path of a single arc all round', () => {
    const path = onlyPath('<circle cx="30" cy="20" r="5"/>');
    expect(path.closed).toBe(true);
    expect(path.segments).toHaveLength(1);
    const s = path.segments[0] as Arc;
    expect(s).toMatchObject({ kind: 'arc', centre: { x: 30, y: 80 }, radius: 5 });
    expect(Math.abs(s.sweep)).toBeCloseTo(2 * Math.PI, 15);
  });

  it('an ellipse is one elliptical arc all round; with equal radii it is a circle', () => {
    const s = onlyPath('<ellipse cx="30" cy="20" rx="5" ry="3"/>').segments[0] as EllipticalArc;
    expect(s).toMatchObject({ kind: 'elliptical-arc', centre: { x: 30, y: 80 }, u: { x: 5 }, v: { y: -3 } });
    expect(Math.abs(s.sweep)).toBeCloseTo(2 * Math.PI, 15);
    expect(onlyPath('<ellipse rx="5" ry="5"/>').segments[0]!.kind).toBe('arc');
    expect(onlyPath('<ellipse rx="5"/>').segments[0]).toMatchObject({ kind: 'arc', radius: 5 });
    expect(onlyPath('<ellipse rx="auto" ry="4"/>').segments[0]).toMatchObject({ kind: 'arc', radius: 4 });
  });

  it('a circle stays a circle under turns, mirrors and even scales, and becomes an ellipse otherwise', () => {
    const kind = (transform: string): string =>
      onlyPath(`<circle r="5" transform="${transform}"/>`).segments[0]!.kind;
    expect(kind('rotate(12) scale(-3 3) translate(5)')).toBe('arc');
    expect(kind('scale(2 2.001)')).toBe('elliptical-arc');
  });

  it('a rectangle runs from its top left corner, clockwise to the eye', () => {
    expectPath('<rect x="10" y="20" width="30" height="40"/>', 'M10 20 H40 V60 H10 Z');
    expect(onlyPath('<rect width="30" height="40"/>').segments).toHaveLength(4);
  });

  it('a rounded rectangle has a quarter of an ellipse at each corner', () => {
    expectPath(
      '<rect x="10" y="20" width="30" height="40" rx="4" ry="6"/>',
      'M14 20 H36 A4 6 0 0 1 40 26 V54 A4 6 0 0 1 36 60 H14 A4 6 0 0 1 10 54 V26 A4 6 0 0 1 14 20 z',
    );
  });

  it('a rounded rectangle takes an absent radius from the other, and clamps both to half a side', () => {
    const round =
      'M14 20 H36 A4 4 0 0 1 40 24 V56 A4 4 0 0 1 36 60 H14 A4 4 0 0 1 10 56 V24 A4 4 0 0 1 14 20 z';
    expectPath('<rect x="10" y="20" width="30" height="40" rx="4"/>', round);
    expectPath('<rect x="10" y="20" width="30" height="40" ry="4" rx="auto"/>', round);
    const full = 'M25 20 A15 20 0 0 1 40 40 A15 20 0 0 1 25 60 A15 20 0 0 1 10 40 A15 20 0 0 1 25 20 z';
    expectPath('<rect x="10" y="20" width="30" height="40" rx="99"/>', full);
    expectPath('<rect x="10" y="20" width="30" height="40" rx="5" ry="0"/>', 'M10 20 H40 V60 H10 Z');
  });

  it('a square with rx of half its side is a circle of four arcs', () => {
    const { segments, closed } = onlyPath('<rect width="10" height="10" rx="5"/>');
    expect(segments.map(({ kind }) => kind)).toEqual(['arc', 'arc', 'arc', 'arc']);
    expect(closed).toBe(true);
  });

  it('line, polyline and polygon', () => {
    expectPath('<line x1="1" y1="2" x2="3" y2="4"/>', 'M1 2 L3 4');
    expectPath('<line x2="3"/>', 'M0 0 L3 0');
    expectPath('<polyline points="1,2 3,4 5,1"/>', 'M1 2 L3 4 L5 1');
    expectPath('<polyline points="1 2-3 4,5,1 1 2"/>', 'M1 2 L-3 4 L5 1 z');
    expectPath('<polygon points="1,2,3,4,5,1"/>', 'M1 2 L3 4 L5 1 z');
    expect(onlyPath('<polygon points="1,2,3,4,5,1"/>').segments).toHaveLength(3);
  });

  it('lengths may have units (1 px is a user unit, 1 in is 96) or be shares of the window', () => {
    expectPath('<rect width="1in" height="48px"/>', 'M0 0 H96 V48 H0 Z');
    expectPath('<rect width="6PC" height="36pt"/>', 'M0 0 H96 V48 H0 Z');
    expectPath('<rect width="2.54cm" height="50.8q"/>', 'M0 0 H96 V48 H0 Z');
    expectPath('<rect x="10%" y="5%" width="50%" height="25%"/>', 'M10 5 H60 V30 H10 Z');
    // A radius in percent refers to sqrt((w^2 + h^2) / 2), here 100.
    expect(onlyPath(`<circle r="50%"/>`).segments[0]).toMatchObject({ radius: 50 });
  });

  it('shapes without size are not drawn, and that is said', () => {
    const { shapes, leftOut, warnings } = readBody(
      '<rect id="a" height="5"/><circle cx="3"/><ellipse rx="0" ry="4"/><polygon/><polyline points=" "/><line/><polygon points="1 2"/>',
    );
    expect(shapes).toEqual([]);
    expect(leftOut.map(({ what, why }) => [what, why])).toEqual([
      ['rect', 'a rectangle without width or height is not drawn'],
      ['circle', 'a circle without radius is not drawn'],
      ['ellipse', 'an ellipse without radius is not drawn'],
      ['polygon', 'a polygon or polyline without points is not drawn'],
      ['polyline', 'a polygon or polyline without points is not drawn'],
      ['line', 'it has no length'],
      ['polygon', 'it has no length'],
    ]);
    expect(leftOut[0]!.where).toBe('line 1 (a)');
    expect(warnings).toEqual([]);
  });

  it('malformed lengths are errors with their place', () => {
    const root = page('').length - '</svg>'.length;
    expectRefused(page('<rect width="-3" height="5"/>'), 'width="-3"; expected a size that is not negative', {
      column: root + '<rect width="'.length + 1,
      element: 'rect',
    });
    expectRefused(page('<circle id="c" r="5furlong"/>'), '"furlong" in the attribute r; expected a unit', {
      column: root + '<circle id="c" r="5'.length + 1,
      element: 'c',
    });
    expectRefused(page('<circle r="2em"/>'), 'the unit em in the attribute r, whose size depends on a font');
    expectRefused(page('<circle r="abc"/>'), '"abc" in the attribute r; expected a number');
    expectRefused(page('<circle r=""/>'), 'the end of the value in the attribute r; expected a number');
    expectRefused(page('<circle cx="1e999" r="1"/>'), 'the number 1e999, which is too large to compute with');
    expectRefused(
      page('<polygon points="1 2 3"/>'),
      '3 numbers in the attribute points; expected pairs of numbers',
    );
    expectRefused(page('<polygon points="1 2 x 4"/>'), '"x 4" in the attribute points; expected a number');
    expectRefused(page('<polygon points="1,,2"/>'), '",2" in the attribute points; expected a number');
    expectRefused(page('<circle cx="2e6" r="1"/>'), 'expected coordinates within 1000000 mm', {
      element: 'circle',
    });
  });
});
