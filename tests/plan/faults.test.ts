import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/job/messages.js';
import { planMarks } from '../../src/plan/plan.js';
import { circle, rectangle } from '../verdict/shapes.js';
import { board, type planInput as input, planInput, usualJob } from './panels.js';

const messageOf = (panel: Parameters<typeof input>[0]): string => {
  try {
    planMarks(planInput(panel));
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return `${error.found}; expected ${error.expected}. ${error.next}`;
  }
  throw new Error('it was not refused');
};

const moon = circle('moon', { x: 300, y: 200 }, 40);

describe('A plan that cannot be made is refused with what to do about it', () => {
  it('no opening with a closed path', () => {
    const line = { ...moon, paths: moon.paths.map((path) => ({ ...path, closed: false })) };
    expect(messageOf({ openings: [line] })).toBe(
      'no closed path among 1 openings; expected openings whose edges the next cut has to keep clear of. Call "reseat list" on the drawing and name the openings under "roles:".',
    );
  });

  it('no free land: it says how near a mark would have to come', () => {
    const window = rectangle('window', 9, 9, 82, 82);
    expect(messageOf({ openings: [window], outline: [board(100, 100)] })).toBe(
      'no place for a mark that is 5 mm from every opening and 8 mm from the edge; expected free land for at least two marks. There is some with plan: {from-openings: 2.5, from-edge: 4}; or use what is there anyway: plan: {use: [corners, holes, edges]}.',
    );
  });

  it('an unknown allowed layer, with the nearest name', () => {
    const text = messageOf({
      openings: [moon],
      spots: [{ x: 10, y: 10 }],
      job: `${usualJob}\nplan: {allowed: spot}`,
    });
    expect(text).toBe(
      'plan: allowed: spot, which is neither a shape nor a layer of the drawing; expected the name of one. Did you mean spots?',
    );
  });

  it('an allowed layer with one place in it', () => {
    const text = messageOf({
      openings: [moon],
      spots: [{ x: 10, y: 10 }],
      job: `${usualJob}\nplan: {allowed: spots}`,
    });
    expect(text).toContain('one place only');
    expect(text).toContain('at least two');
  });

  it('nothing to touch of the kinds that are asked for', () => {
    const text = messageOf({
      openings: [moon],
      outline: [circle('disc', { x: 300, y: 200 }, 180)],
      job: `${usualJob}\nplan: {use: [corners]}`,
    });
    expect(text).toContain('no place for a mark among corners');
    expect(text).toContain('use: [land, corners, holes, edges]');
  });

  it('a panel too small for as many marks as far apart as asked for', () => {
    const text = messageOf({
      openings: [circle('dot', { x: 15, y: 15 }, 2)],
      outline: [board(30, 30)],
      job: `${usualJob}\nplan: {marks: 3, from-edge: 3, spacing: 60}`,
    });
    expect(text).toContain('no pattern of 3 among');
    expect(text).toContain('60 mm apart');
  });

  it('more unknowns than the marks have coordinates', () => {
    const text = messageOf({
      openings: [moon],
      job: 'fit: {reading-sd: 0.1, model: affine}\nplan: {marks: 2}',
    });
    expect(text).toContain('no pattern of 2 among');
  });

  it('places that are all one regular pattern', () => {
    const text = messageOf({
      openings: [moon],
      spots: [
        { x: 20, y: 20 },
        { x: 580, y: 20 },
        { x: 580, y: 380 },
        { x: 20, y: 380 },
      ],
      job: `${usualJob}\nplan: {marks: 4, allowed: spots}`,
    });
    expect(text).toContain('differ from themselves turned or mirrored');
  });

  it('without an outline the land ends with the openings, and that is said', () => {
    const openings = [rectangle('left', 0, 0, 40, 300), rectangle('right', 400, 0, 40, 300)];
    const { chosen, warnings } = planMarks(planInput({ openings, outline: [] }));
    for (const { at, fromEdge } of chosen.places) {
      expect(at.x).toBeGreaterThan(40);
      expect(at.x).toBeLessThan(400);
      expect(fromEdge).toBeUndefined();
    }
    expect(warnings.map(({ code }) => code)).toContain('roles-assumed');
  });
});
