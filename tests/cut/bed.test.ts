import { describe, expect, it } from 'vitest';
import { checkBed } from '../../src/cut/bed.js';
import { InputError } from '../../src/job/messages.js';

const where = { file: 'fern.yaml' };
const path = (name: string, minX: number, minY: number, maxX: number, maxY: number) => ({
  openings: [name],
  box: { minX, minY, maxX, maxY },
});

describe('the bed', () => {
  it('holds paths up to its very edge', () => {
    expect(checkBed([path('leaf', 0, 0, 1200, 900)], { size: [1200, 900] }, where)).toEqual([]);
    expect(checkBed([path('leaf', -1e-7, 0, 1200, 900 + 1e-7)], { size: [1200, 900] }, where)).toEqual([]);
  });

  it.each([
    ['left', path('leaf', -0.5, 10, 20, 20), 'leaf by 0.5 mm'],
    ['below', path('leaf', 5, -0.25, 20, 20), 'leaf by 0.25 mm'],
    ['right', path('leaf', 5, 10, 1203, 20), 'leaf by 3 mm'],
    ['above', path('leaf', 5, 10, 20, 901.5), 'leaf by 1.5 mm'],
  ])('of known size refuses a path beyond it on the %s', (_, out, far) => {
    const check = () => checkBed([path('stem', 1, 1, 2, 2), out], { size: [1200, 900] }, where);
    expect(check).toThrow(InputError);
    expect(check).toThrow(`1 of 2 paths off the bed, ${far}`);
  });

  it('of unknown size warns of negative coordinates only', () => {
    expect(checkBed([path('leaf', 0, 0, 5000, 5000)], {}, where)).toEqual([]);
    const warnings = checkBed([path('leaf', -2, 0, 9, 9), path('stem', 3, -4, 9, 9)], {}, where);
    expect(warnings.map((w) => w.code)).toEqual(['outside-bed']);
    expect(warnings[0]!.message).toContain('2 of 2 paths at negative coordinates, stem by 4 mm');
  });
});
