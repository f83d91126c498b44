import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { distance, type Point } from '../../src/geometry/point.js';
import { readJob } from '../../src/job/read/read-job.js';
import {
  exchangedMarks,
  marksValue,
  placeWarnings,
  placeWords,
  retypings,
  typedElsewhere,
  typedPlaces,
} from '../../src/marks/typed-marks.js';

type Places = Record<string, readonly [number, number]>;
const jobWith = (marks: Places, read: readonly string[] = Object.keys(marks), more = '') => {
  const list = Object.entries(marks).map(([name, at]) => `"${name}": [${at.join(', ')}]`);
  const readings = read.map((name, i) => `"${name}": [${i}, ${i}]`);
  return readJob(
    {
      path: 'job.yaml',
      text: `drawing: a.svg\nmarks: {${list.join(', ')}${more}}\nreadings: {${readings.join(', ')}}\n`,
    },
    { read: () => undefined },
  );
};
const drawn = (marks: Places = {}) => ({
  marks: new Map(Object.entries(marks).map(([name, [x, y]]) => [name, { x, y }])),
});
/** 200 by 100, its corner at (30, 40). */
const panel = { minX: 30, minY: 40, maxX: 230, maxY: 140 };
const page = { minX: 0, minY: 0, maxX: 300, maxY: 180 };
const onPanel: Places = { A: [40, 50], B: [220, 50], C: [220, 130], D: [40, 125] };
const mapped = (places: Places, to: (x: number, y: number) => readonly [number, number]): Places =>
  Object.fromEntries(Object.entries(places).map(([name, [x, y]]) => [name, to(x, y)]));
const listOf = (places: Places): string =>
  `{${Object.entries(places)
    .map(([name, [x, y]]) => `${name}: ${placeWords({ x, y })}`)
    .join(', ')}}`;
/** What a warning advises to write after `marks:`. */
const advised = (warnings: ReturnType<typeof placeWarnings>): unknown => {
  const remedy = warnings[0]?.remedies?.[0];
  return remedy !== undefined && 'set' in remedy ? remedy.set?.value : undefined;
};

describe('typed positions of marks', () => {
  it('on the panel, or a tenth of its length beside it, are believed', () => {
    const job = jobWith(onPanel);
    expect(placeWarnings(job, drawn(), { panel })).toEqual([]);
    expect(placeWarnings(job, drawn(), {})).toEqual([]);
    // 20 mm on every side of a panel of 200 by 100.
    const beside = (by: number): Places => ({
      A: [30 - by, 90],
      B: [230 + by, 90],
      C: [100, 40 - by],
      D: [100, 140 + by],
    });
    expect(placeWarnings(jobWith(beside(19.9)), drawn(), { panel })).toEqual([]);
  });

  it('all of which lie off one side of the panel are told of, unless the panel lies among them', () => {
    const sides: readonly (readonly [number, number])[] = [
      [-400, 0],
      [400, 0],
      [0, -400],
      [0, 400],
    ];
    for (const [x, y] of sides) {
      const warnings = placeWarnings(jobWith(mapped(onPanel, (u, v) => [u + x, v + y])), drawn(), { panel });
      expect(
        warnings.map(({ code }) => code),
        `${x}, ${y}`,
      ).toEqual(['mark-misplaced']);
      expect(warnings[0]!.message).toMatch(/^No mark lies on the panel as typed, A at \[/);
      expect(warnings[0]!.message).toContain('begins at (30, 40) of the drawing and ends at (230, 140)');
    }
    const jig: Places = { A: [-20, 0], B: [270, 0], C: [270, 180], D: [-20, 180] };
    expect(placeWarnings(jobWith(jig), drawn(), { panel })).toEqual([]);
    // Beside it: its middle is not among them.
    for (const [x, y] of [
      [0, 300],
      [0, -300],
      [400, 0],
      [-400, 0],
    ] as const)
      expect(placeWarnings(jobWith(mapped(jig, (u, v) => [u + x, v + y])), drawn(), { panel })).toHaveLength(
        1,
      );
  });

  it('are judged by the length of the panel, wherever in the drawing it lies', () => {
    const far = { minX: 1030, minY: 1040, maxX: 1230, maxY: 1140 };
    const beside = (x: number): Places => ({ A: [x, 1050], B: [x - 5, 1100], C: [x, 1130] });
    expect(placeWarnings(jobWith(beside(1015.1)), drawn(), { panel: far })).toEqual([]);
    expect(placeWarnings(jobWith(beside(1005)), drawn(), { panel: far })).toHaveLength(1);
  });

  it('counted from the corner of the panel are put where the drawing has them', () => {
    const far = { minX: 1030, minY: 1040, maxX: 1230, maxY: 1140 };
    const meant = mapped(onPanel, (x, y) => [x + 1000, y + 1000]);
    const typed = mapped(onPanel, (x, y) => [x - 30, y - 40]);
    const warnings = placeWarnings(jobWith(typed), drawn(), { panel: far });
    expect(warnings[0]!.message).toMatch(/counted from the corner of the panel/);
    expect(advised(warnings)).toBe(listOf(meant));
    // Not so where that would not bring them onto it.
    const other = placeWarnings(jobWith(mapped(typed, (x, y) => [x + 400, y])), drawn(), { panel: far });
    expect(other[0]!.message).not.toMatch(/corner/);
    expect(advised(other)).toBeUndefined();
  });

  it('counted from the middle of the panel are put where the drawing has them, both axes at once', () => {
    const typed = mapped(onPanel, (x, y) => [x - 130, y - 90]);
    const warnings = placeWarnings(jobWith(typed), drawn(), { panel });
    expect(warnings[0]!.message).toMatch(/^Mark [A-D] lies off the panel .*counted from the middle/);
    expect(advised(warnings)).toBe(listOf(onPanel));
    // Of one sign in x or in y they are not counted from a middle.
    for (const to of [
      (x: number, y: number) => [-x, y - 90],
      (x: number, y: number) => [x - 130, -y],
    ] as const) {
      const warned = placeWarnings(jobWith(mapped(onPanel, to as never)), drawn(), { panel });
      expect(warned.map(({ message }) => message).join()).not.toMatch(/middle/);
    }
  });

  it('with y before x are exchanged again', () => {
    const tall = { minX: 0, minY: 0, maxX: 100, maxY: 400 };
    const meant: Places = { A: [10, 20], B: [90, 30], C: [80, 390] };
    const warnings = placeWarnings(jobWith(mapped(meant, (x, y) => [y, x])), drawn(), { panel: tall });
    expect(warnings[0]!.message).toMatch(/y was probably typed before their x/);
    expect(advised(warnings)).toBe(listOf(meant));
  });

  it('are judged only where every mark that is read is typed', () => {
    const off = mapped(onPanel, (x, y) => [x + 900, y]);
    const { D, ...others } = off;
    expect(D).toBeDefined();
    const job = jobWith(others, Object.keys(off), ', D: hole');
    expect(typedPlaces(job).size).toBe(3);
    expect(placeWarnings(job, drawn(), { panel })).toEqual([]);
    expect(retypings(job, { panel, page })).toEqual([]);
    expect(placeWarnings(jobWith(off), drawn(), { panel })).toHaveLength(1);
    expect(retypings(jobWith(off), {})).toEqual([]);
  });
});

describe('typed positions beside drawn marks of the same names', () => {
  it('are believed within half a millimetre, and contradicted beyond', () => {
    const told = (by: number): number =>
      placeWarnings(jobWith(mapped(onPanel, (x, y) => [x + by, y])), drawn(onPanel), { panel }).length;
    expect([told(0.49), told(0.51), told(-0.51)]).toEqual([0, 1, 1]);
    expect(placeWarnings(jobWith(onPanel), drawn({ E: [0, 0] }), { panel })).toEqual([]);
  });

  it.each([
    ['another corner', (x: number, y: number) => [x - 30, y + 5], /differ by the same \[30, -5\]/],
    ['y downwards', (x: number, y: number) => [x, 180 - y], /y is typed as counted downwards/],
    ['exchanged axes', (x: number, y: number) => [y, x], /x and y are exchanged/],
    [
      'no rule',
      (x: number, y: number) => [x + y / 7, y - x / 9],
      /^(?!.*(All of them|Their)).* The cut follows/,
    ],
    [
      'x alone',
      (x: number, y: number) => [x - 30, y + x / 9],
      /^(?!.*(All of them|Their)).* The cut follows/,
    ],
    ['y alone', (x: number, y: number) => [x + y / 7, y + 5], /^(?!.*(All of them|Their)).* The cut follows/],
    ['one exchanged axis', (x: number, y: number) => [y, x + y / 5], /^(?!.*(All of them|Their)).* The cut/],
  ])('say what they have in common: %s', (_what, to, message) => {
    const warnings = placeWarnings(jobWith(mapped(onPanel, to as never)), drawn(onPanel), { panel });
    expect(warnings[0]!.message).toMatch(message);
    expect(warnings[0]!.message).toMatch(/; so are 1 more/);
    expect(warnings[0]!.marks).toEqual(['A', 'B', 'C', 'D']);
    expect(advised(warnings)).toBe('{A: A, B: B, C: C, D: D}');
  });

  it('name each of up to three, and one alone has nothing in common', () => {
    const three = { A: onPanel.A!, B: onPanel.B!, C: onPanel.C! };
    const typed = mapped(three, (x, y) => [x - 30, y]);
    expect(placeWarnings(jobWith(typed), drawn(three), { panel })[0]!.message).not.toMatch(/more/);
    const [one] = placeWarnings(jobWith({ ...three, B: [100, 50] }), drawn(three), { panel });
    expect(one!.marks).toEqual(['B']);
    expect(one!.message).toBe(
      'B is drawn at [220, 50] and typed at [100, 50]. The cut follows what is typed.',
    );
    expect(one!.remedies![0]!.step).toMatch(/takes it where it is drawn$/);
  });
});

describe('other ways to type the list', () => {
  const kinds = (places: Places, ground: Parameters<typeof retypings>[1]) =>
    retypings(jobWith(places), ground).map(({ kind }) => kind);

  it.each([
    ['counted-down', (x: number, y: number) => [x, 180 - y]],
    ['from-right', (x: number, y: number) => [300 - x, y]],
    ['exchanged', (x: number, y: number) => [y, x]],
    ['centimetres', (x: number, y: number) => [x / 10, y / 10]],
    ['inches', (x: number, y: number) => [x / 25.4, y / 25.4]],
  ] as const)('%s: leads back to where the marks are, and says what to write', (kind, typed) => {
    const found = retypings(jobWith(mapped(onPanel, typed as never)), { panel, page });
    const way = found.find((one) => one.kind === kind)!;
    for (const [name, [x, y]] of Object.entries(onPanel))
      expect(distance(way.places.get(name) as Point, { x, y })).toBeLessThan(1e-9);
    expect(way.remedy).toMatchObject({ kind: 'change-job', set: { key: 'marks', value: listOf(onPanel) } });
  });

  it('are those alone that bring every mark onto the panel', () => {
    expect(
      kinds(
        mapped(onPanel, (x, y) => [x / 10, y / 10]),
        { panel, page },
      ),
    ).toContain('centimetres');
    expect(kinds(onPanel, { panel, page })).not.toContain('centimetres');
    expect(
      kinds(
        mapped(onPanel, (x, y) => [x / 25.4, y / 25.4]),
        { panel, page },
      ),
    ).toContain('inches');
    expect(kinds({ ...onPanel, A: [4, 5] }, { panel, page })).not.toContain('inches');
  });

  it('count from the page where there is one, else from the origin to the far sides of the panel', () => {
    const job = jobWith({ A: [100, 50], B: [200, 80] });
    const ofA = (ground: Parameters<typeof retypings>[1], kind: string) =>
      retypings(job, ground)
        .find((one) => one.kind === kind)
        ?.places.get('A');
    expect(ofA({ panel }, 'counted-down')).toEqual({ x: 100, y: 90 });
    expect(ofA({ panel }, 'from-right')).toEqual({ x: 130, y: 50 });
    expect(ofA({ panel, page }, 'counted-down')).toEqual({ x: 100, y: 130 });
    expect(ofA({ panel, page }, 'from-right')).toEqual({ x: 200, y: 50 });
    const aside = { panel, page: { minX: 10, minY: 5, maxX: 310, maxY: 185 } };
    expect(ofA(aside, 'counted-down')).toEqual({ x: 100, y: 140 });
    expect(ofA(aside, 'from-right')).toEqual({ x: 220, y: 50 });
  });
});

describe('the line of marks that is advised', () => {
  const name = fc
    .oneof(
      fc.constantFrom(
        'true',
        'No',
        'null',
        'yes',
        'on',
        'OFF',
        '7',
        'a b',
        'x-1',
        '_',
        'é',
        '-',
        'a"b',
        'no1',
      ),
      fc.string({ minLength: 1, maxLength: 6 }),
    )
    .filter((text) => text.trim() === text && /^[ -~é]*$/.test(text));

  it('is read back as the same marks, whatever they are called', () => {
    fc.assert(
      fc.property(fc.uniqueArray(name, { minLength: 1, maxLength: 4 }), (names) => {
        const marks = new Map(
          names.map((one, i) => [one, i % 2 === 0 ? { at: { x: 28.5 + i, y: -204.125 } } : { shape: one }]),
        );
        const value = marksValue({ marks }, new Map());
        const first = JSON.stringify(names[0]);
        const job = readJob(
          { path: 'job.yaml', text: `drawing: a.svg\nmarks: ${value}\nreadings: {${first}: [1, 2]}\n` },
          { read: () => undefined },
        );
        expect([...job.marks!]).toEqual([...marks]);
      }),
      { seed: 20261201, numRuns: 200 },
    );
  });

  it('has whole words bare and others in quotes', () => {
    const marks = new Map(['A1', 'leaf 7', 'no', 'peg-hole_2'].map((one) => [one, { shape: one }]));
    expect(marksValue({ marks }, new Map())).toBe(
      '{A1: A1, "leaf 7": "leaf 7", "no": "no", peg-hole_2: peg-hole_2}',
    );
  });

  it('changes one mark, or exchanges two, and leaves the others', () => {
    const job = jobWith({ A: [1, 2], B: [3, 4], C: [5, 6] });
    expect(typedElsewhere(job, 'B', { x: 7.0004, y: -0.0001 }, ', so')).toMatchObject({
      set: { key: 'marks', value: '{A: [1, 2], B: [7, 0], C: [5, 6]}' },
    });
    expect(exchangedMarks(job, 'A', 'C')).toMatchObject({
      set: { key: 'marks', value: '{A: [5, 6], B: [3, 4], C: [1, 2]}' },
    });
    const drawnToo = jobWith({ A: [1, 2] }, ['A', 'D'], ', D: hole');
    expect(exchangedMarks(drawnToo, 'A', 'D')).toBeUndefined();
    expect(exchangedMarks(drawnToo, 'D', 'A')).toBeUndefined();
  });
});
