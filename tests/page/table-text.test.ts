import { describe, expect, it } from 'vitest';
import { pastedTable, tableOf, withCell } from '../../src/page/kept/table-text.js';

const form = '# What to do; in order.\nmark,direction,x,y\nA,up,,\nB,up,,\n';

describe('a form of measurements', () => {
  it('takes a figure with a comma into its cell', () => {
    const text = withCell(withCell(form, 0, 2, '25,10'), 1, 3, '−4.5 mm');
    expect(tableOf(text).rows).toEqual([
      ['A', 'up', '25.10', ''],
      ['B', 'up', '', '-4.5'],
    ]);
    expect(tableOf(text).remarks).toEqual(['What to do; in order.']);
  });

  it('keeps what is no figure as it is, for the reader to say so', () => {
    expect(tableOf(withCell(form, 0, 2, 'twenty; five')).rows[0]).toEqual(['A', 'up', 'twenty  five', '']);
  });

  it('is taken from a spreadsheet, and from a file as it is', () => {
    expect(pastedTable('mark\tx\ty\nA\t25,1\t-0,5')).toBe('mark,x,y\nA,25.1,-0.5');
    expect(pastedTable('# a; b\nmark,x\nA,25')).toBe('# a; b\nmark,x\nA,25');
  });
});
