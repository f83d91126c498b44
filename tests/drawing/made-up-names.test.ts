import { describe, expect, it } from 'vitest';
import { isLikeMadeUp, isPlain } from '../../src/drawing/model/shape-store.js';
import { assignRoles, type RoleAssignment } from '../../src/drawing/roles/roles.js';
import { shapeElements } from '../../src/drawing/svg/svg-shapes.js';
import { defaultRoles } from '../../src/job/job.js';
import { nearestWord } from '../../src/job/nearest.js';
import { joinBody, lines } from './join/joined.js';
import { inputErrorOf } from './svg-text.js';

/** Two squares of loose lines, and a circle that is closed as it is drawn. */
const square = (x: number): string =>
  lines([x, 10, x + 9, 10], [x + 9, 10, x + 9, 20], [x + 9, 20, x, 20], [x, 20, x, 10]);
const body = `${square(10)}${square(30)}<circle cx="70" cy="70" r="4"/>`;

const openingsOf = (drawn: string, ...words: readonly string[]): RoleAssignment =>
  assignRoles(joinBody(drawn).drawing, {
    ...defaultRoles,
    openings: words.map((text) => ({ text })),
    stated: { marks: false, openings: true, outline: false },
  });

const ids = (shapes: readonly { readonly id: string }[]): string[] => shapes.map(({ id }) => id);

describe('made-up ids under roles', () => {
  it('of a shape select it, and of a line the outline that it went into', () => {
    expect(ids(openingsOf(body, 'circle-9').openings)).toEqual(['circle-9']);
    expect(ids(openingsOf(body, 'line-1').openings)).toEqual(['line-1']);
    expect(ids(openingsOf(body, 'line-7').openings)).toEqual(['line-5']);
    expect(ids(openingsOf(body, 'line-3', 'circle-9').openings)).toEqual(['line-1', 'circle-9']);
    expect(ids(openingsOf(body, 'line-3', 'not line-4', 'circle-9').openings)).toEqual(['circle-9']);
  });

  it('of a line that was joined may be written in other capitals, like other names', () => {
    expect(ids(openingsOf(body, 'LINE-7').openings)).toEqual(['line-5']);
    const { message } = inputErrorOf(() => openingsOf(body, 'line-9'));
    expect(message).toContain('line-9, which is neither a shape nor a layer of the drawing');
  });

  it('do not stand in the way of the name that a line of an outline was given', () => {
    const named = body.replace('<line x1="30"', '<line id="Slot" x1="30"');
    for (const word of ['Slot', 'slot', 'line-7']) {
      expect(ids(openingsOf(named, word).openings), word).toEqual(['Slot']);
    }
    // The line with the name is not the first of its outline.
    const inside = body.replace(/(.*)<line /, '$1<line id="Slot" ');
    expect(ids(openingsOf(inside, 'slot').openings)).toEqual(['line-5']);
    expect(joinBody(inside).drawing.shapes.map(isPlain)).toEqual([true, false, true]);
  });

  it('are told from names by their form', () => {
    for (const word of ['line-3', 'path-12--', 'lwpolyline-1', 'entity-1A', 'entity-2F.10', 'ENTITY-A']) {
      expect(isLikeMadeUp(word), word).toBe(true);
    }
    for (const word of ['openings', 'line', 'leaf-a', '3', 'my-entity', 'a-3b']) {
      expect(isLikeMadeUp(word), word).toBe(false);
    }
  });

  it('are never so near to the name of a role that they could be meant by it', () => {
    const dxf = ['line', 'arc', 'circle', 'ellipse', 'lwpolyline', 'polyline', 'spline', 'entity'];
    for (const element of new Set([...shapeElements.keys(), ...dxf])) {
      for (let number = 1; number < 1e15; number *= 7) {
        for (const id of [
          `${element}-${number}`,
          `${element}-${number}--`,
          `${element}-${number.toString(16)}`,
        ]) {
          for (const role of ['marks', 'openings', 'outline'])
            expect(nearestWord(role, [id])).toBeUndefined();
        }
      }
    }
  });
});
