import fc from 'fast-check';
import { describe, it } from 'vitest';
import { expectRefused, expectSameTrace, onlyShape, page } from './svg-text.js';

const expectSame = (found: string, expected: string): void =>
  expectSameTrace(onlyShape(`<path d="${found}"/>`).paths, onlyShape(`<path d="${expected}"/>`).paths, 1e-12);

describe('a malformed path is an error, where SVG would draw it up to the fault', () => {
  const cases: [data: string, message: string, column: number][] = [
    [
      'L 10 10',
      '"L 10 10" in the attribute d; expected a moveto command, M or m, at the start of the path',
      1,
    ],
    ['10 10', '"10 10" in the attribute d; expected a moveto command', 1],
    ['M 10', 'the end of the value in the attribute d; expected a number', 5],
    ['M 10 20 L 30', 'the end of the value in the attribute d; expected a number', 13],
    ['M 10 20 X 5 5', '"X 5 5" in the attribute d; expected a path command', 9],
    ['M 10 20 L 30 x', '"x" in the attribute d; expected a number', 14],
    ['M 10 20 L 30,,40', '",40" in the attribute d; expected a number', 14],
    ['M 10 20, L 30 40', '"L 30 40" in the attribute d; expected a number after the comma', 10],
    ['M 10 20 z 5', '"5" in the attribute d; expected a path command', 11],
    ['M 10 20 A 5 5 0 2 1 30 30', '"2 1 30 30" in the attribute d; expected an arc flag, 0 or 1', 17],
    ['M 10 20 L NaN 5', '"NaN 5" in the attribute d; expected a number', 11],
    ['M 10 20 L 1e999 5', 'the number 1e999, which is too large to compute with', 11],
    ['M 10 20 L 0x10 5', '"x10 5" in the attribute d; expected a number', 12],
    ['M 10 20 L - 5 5', '"- 5 5" in the attribute d; expected a number', 11],
    ['M 10 20 C 1 1 2 2 3', 'the end of the value in the attribute d; expected a number', 20],
    ['M 10 20 L Infinity 5', '"Infinity 5" in the attribute d; expected a number', 11],
  ];

  it.each(cases)('says where in "%s" the fault is', (data, message, column) => {
    // The value starts in column 16 of line 2.
    expectRefused(page(`\n<path id="p" d="${data}"/>`), message, {
      line: 2,
      column: 16 + column,
      element: 'p',
    });
  });

  it('finds the line in a path over several lines, and behind references', () => {
    expectRefused(
      page('<g>\r\n<path\r\n id="p" d="M 10 20\r\n L 30 40\r\n L 5 y"/></g>'),
      'expected a number',
      {
        line: 5,
        column: 6,
      },
    );
    expectRefused(page('<path title="&lt;&#65;" d="M 1&#32;2 L q"/>'), '"q" in the attribute d', {
      line: 1,
      column:
        `<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">`.length +
        '<path title="&lt;&#65;" d="M 1&#32;2 L q'.length,
    });
  });

  it('refuses coordinates more than a kilometre away', () => {
    expectRefused(
      page('<path id="p" d="M 0 0 L 10 10 L 1000001 0"/>'),
      /a point at \(1\.000e\+6, 100\.0\) mm/,
      {
        element: 'p',
      },
    );
    expectRefused(page('<path d="M 0 0 C 1 1 2e9 2 3 3"/>'), 'expected coordinates within 1000000 mm');
    expectRefused(page('<path d="M 0 0 A 1e9 1e9 0 1 1 5 5"/>'), 'expected coordinates within 1000000 mm');
    expectRefused(page('<path d="M 0 0 A 1e300 1e-300 0 1 1 5 5"/>'), 'expected');
  });
});

describe('relative and absolute commands', () => {
  const counts = { M: 2, L: 2, H: 1, V: 1, C: 6, S: 4, Q: 4, T: 2, A: 7, Z: 0 } as const;
  type Letter = keyof typeof counts;
  const coordinate = fc.integer({ min: 0, max: 4000 }).map((n) => n / 64);
  const step = fc.tuple(
    fc.constantFrom(...(Object.keys(counts) as Letter[])),
    fc.array(coordinate, { minLength: 7, maxLength: 7 }),
    fc.boolean(),
    fc.boolean(),
  );

  /** The same steps once in absolute and once in relative coordinates; multiples of 1/64, so sums are exact. */
  const written = (steps: readonly [Letter, number[], boolean, boolean][]): [string, string] => {
    let absolute = 'M 3 5';
    let relative = 'm 3 5';
    let [x, y, startX, startY] = [3, 5, 3, 5];
    for (const [letter, numbers, large, positive] of steps) {
      const own = numbers.slice(0, counts[letter]);
      if (letter === 'A') {
        const head = `${own[0]} ${own[1]} ${own[2]} ${Number(large)} ${Number(positive)}`;
        absolute += ` A ${head} ${own[5]} ${own[6]}`;
        relative += ` a ${head} ${own[5]! - x} ${own[6]! - y}`;
        [x, y] = [own[5]!, own[6]!];
        continue;
      }
      const from = own.map((value, i) => value - (letter === 'V' || (letter !== 'H' && i % 2 === 1) ? y : x));
      absolute += ` ${letter} ${own.join(' ')}`;
      relative += ` ${letter.toLowerCase()} ${from.join(' ')}`;
      if (letter === 'Z') [x, y] = [startX, startY];
      else if (letter === 'H') x = own[0]!;
      else if (letter === 'V') y = own[0]!;
      else [x, y] = [own.at(-2)!, own.at(-1)!];
      if (letter === 'M') [startX, startY] = [x, y];
    }
    return [absolute, relative];
  };

  it('give the same curves', () => {
    fc.assert(
      fc.property(fc.array(step, { minLength: 1, maxLength: 12 }), (steps) => {
        const [absolute, relative] = written([...steps, ['L', [70, 70], true, true]]);
        expectSame(relative, absolute);
      }),
      { seed: 20261125, numRuns: 300 },
    );
  });

  it('give the same curves with every blank left out that may be', () => {
    fc.assert(
      fc.property(fc.array(step, { minLength: 1, maxLength: 12 }), (steps) => {
        const [, relative] = written([...steps, ['L', [70, 70], true, true]]);
        const tight = relative
          .replace(/ ?([a-z]) ?/g, '$1')
          .replace(/ -/g, '-')
          .replace(/(\s|-|[a-z])0\./g, '$1.')
          .replace(/(a[^a-z ]+ ?[^a-z ]+ [^a-z ]+) ([01]) ([01]) ?/g, '$1 $2$3');
        expectSame(tight, relative);
      }),
      { seed: 20261125, numRuns: 300 },
    );
  });
});
