import { describe, expect, it } from 'vitest';
import { figureOf, pastedRows, whyNoFigure } from '../../src/page/kept/typed.js';

describe('figures as they are typed', () => {
  it.each([
    ['429,67', 429.67, 2],
    ['429.70 mm', 429.7, 2],
    ['\u221212,5', -12.5, 1],
    ['\u2013 3', -3, 0],
    [' +7 ', 7, 0],
    ['1 234,56', 1234.56, 2],
    ['.5', 0.5, 1],
    ['12mm', 12, 0],
  ])('reads %j', (typed, value, decimals) => {
    expect(figureOf(typed)).toEqual({ value, decimals });
  });

  it.each(['', '-', '4O2.1', '1.234,5', '12 34', '1e3', '12 cm', '0x10', 'NaN'])(
    'takes %j for no number',
    (typed) => {
      expect(figureOf(typed)).toBeUndefined();
    },
  );

  it('says why', () => {
    expect(whyNoFigure('1.234,5')).toContain('a point and a comma');
    expect(whyNoFigure('4O2')).toContain('is no number');
  });
});

describe('a pasted table', () => {
  it.each([
    'A\t429,67\t157,21\nB\t795,12\t174,10',
    'mark;x;y\r\nA;429,67;157,21\r\nB;795,12;174,1\r\n',
    'mark,x,y\nA,429.67,157.21\nB,795.12,174.1',
    'A 429.67 157.21\n\nB 795.12, 174.10',
  ])('is read from %j', (text) => {
    const rows = pastedRows(text)!.map(({ name, x, y }) => [name, x.value, y.value]);
    expect(rows).toEqual([
      ['A', 429.67, 157.21],
      ['B', 795.12, 174.1],
    ]);
  });

  it('may have no names', () => {
    expect(pastedRows('1,5\t2,5\n3\t4')!.map(({ name, x }) => [name, x.value])).toEqual([
      [undefined, 1.5],
      [undefined, 3],
    ]);
  });

  it('is none where there are no two figures in a row', () => {
    expect(pastedRows('429.67')).toBeUndefined();
    expect(pastedRows('some words\nand more')).toBeUndefined();
  });
});
