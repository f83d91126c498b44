import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/job/messages.js';
import { failureText, faultText, placeText } from '../../src/report/text/fault-text.js';

describe('the message of a wrong input', () => {
  it('says where, what was found, what was expected and what to do', () => {
    const error = new InputError({
      found: 'cut.clearance is "half"',
      expected: 'a number in mm, 0 or more',
      where: { file: 'fern.yaml', line: 12, column: 14, element: 'cut.clearance' },
      next: 'Write digits with a decimal point.',
    });
    expect(faultText(error)).toBe(
      [
        'reseat: fern.yaml:12:14, cut.clearance',
        '  found:    cut.clearance is "half"',
        '  expected: a number in mm, 0 or more',
        '  next:     Write digits with a decimal point.',
      ].join('\n'),
    );
  });

  it('names as much of the place as is known', () => {
    expect(placeText({})).toBeUndefined();
    expect(placeText({ file: 'a.svg' })).toBe('a.svg');
    expect(placeText({ file: 'a.svg', line: 3 })).toBe('a.svg:3');
    expect(placeText({ line: 3, element: 'path' })).toBe('line 3, path');
    expect(placeText({ element: 'cut.kerf' })).toBe('cut.kerf');
  });

  it('stays on its four lines whatever the input holds', () => {
    const error = new InputError({
      found: 'the mark "A\n\u001b[2J"',
      expected: 'a mark',
      where: { file: 'a\nb.yaml' },
      next: 'Correct it.',
    });
    expect(faultText(error).split('\n')).toHaveLength(4);
    expect(faultText(error)).not.toContain('\u001b');
  });
});

describe('the message of a fit without solution', () => {
  it('gives reason and cure', () => {
    const failure = { reason: 'All marks are in one place.', cure: 'Read marks that lie apart.' };
    expect(failureText('fern.yaml', failure, [])).toBe(
      [
        'reseat: fern.yaml: the fit has no solution',
        '  reason:   All marks are in one place.',
        '  next:     Read marks that lie apart.',
      ].join('\n'),
    );
  });
});
