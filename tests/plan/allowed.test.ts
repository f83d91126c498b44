/** `plan: {allowed: NAME}`: what in a drawing is a place, what an area, and what is neither. */
import { describe, expect, it } from 'vitest';
import { readDrawing } from '../../src/drawing/read.js';
import { InputError } from '../../src/job/messages.js';
import { allowedPlaces } from '../../src/plan/places/allowed.js';

const drawn = (content: string) =>
  readDrawing(
    new TextEncoder().encode(
      `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">${content}</svg>`,
    ),
    { path: 'panel.svg' },
  );
const where = { file: 'job.yaml', line: 3 };
const fault = (content: string, name: string): InputError => {
  try {
    allowedPlaces(drawn(content), name, where);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('it was taken');
};

describe('places that a job allows', () => {
  const layer = `<g id="spots">
    <circle id="small" cx="20" cy="90" r="5"/><circle id="large" cx="60" cy="50" r="5.1"/>
    <path id="cross" d="M98 40h4M100 38v4"/><rect id="area" x="150" y="10" width="20" height="10"/>
    <path id="open" d="M0 0h50"/></g><path id="other" d="M1 1h9v9z"/>`;

  it('are small circles and crosses by their centres; larger closed shapes are areas, open lines neither', () => {
    const { spots, areas } = allowedPlaces(drawn(layer), 'spots', where);
    expect(spots.map(({ kind, shape }) => [kind, shape])).toEqual([
      ['given', 'small'],
      ['given', 'cross'],
    ]);
    expect(spots[0]!.at.x).toBeCloseTo(20, 9);
    expect(spots[0]!.at.y).toBeCloseTo(10, 9);
    expect(spots[1]!.at.x).toBeCloseTo(100, 9);
    expect(spots[1]!.at.y).toBeCloseTo(60, 9);
    expect(areas.map(({ id }) => id)).toEqual(['large', 'area']);
  });

  it('may be one shape by its name', () => {
    const { spots, areas } = allowedPlaces(drawn(layer), 'other', where);
    expect([spots, areas.map(({ id }) => id)]).toEqual([[], ['other']]);
  });

  it('are asked for again where the name is unknown, with the nearest one or the list', () => {
    const near = fault(layer, 'spot');
    expect(near.found).toContain('allowed: spot, which is neither a shape nor a layer');
    expect([near.expected, near.next]).toEqual(['the name of one', 'Did you mean spots?']);
    expect(near.where).toEqual(where);
    expect(fault(layer, 'quite-another-word').next).toContain('"reseat list" shows every shape');
    const nameless = fault('<path d="M1 1h9v9z"/>', 'spots');
    expect(nameless.expected).toBe('a drawing with named shapes or layers');
  });

  it('are refused where there are open lines only', () => {
    const { found, expected, next } = fault(layer, 'open');
    expect(found).toBe('plan: allowed: open, which holds open lines only');
    expect(expected).toContain('small circles or crosses');
    expect(next).toContain('Draw the places as circles');
  });
});
