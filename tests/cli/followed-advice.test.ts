/**
 * More mistakes of a newcomer: what is printed is followed to the letter, by a program, and the job is then a sound one. A
 * fit that agrees is not enough where positions are typed: the part has to lie where it was put.
 */
import { describe, expect, it } from 'vitest';
import { parse, parseDocument } from 'yaml';
import { type Workshop, workshop } from './workshop.js';

type Place = readonly [number, number];
/** Design frame, y up, on a panel of 400 x 300 mm. */
const marks: Readonly<Record<string, Place>> = { A: [20, 25], B: [380, 30], C: [372, 275], D: [60, 270] };

const screen = (how: { marks?: string; moon?: string } = {}): string => {
  const dots = Object.entries(marks).map(
    ([id, [x, y]]) => `<circle id="${id}" cx="${x}" cy="${300 - y}" r="1"/>`,
  );
  const { marks: layer = 'marks', moon = '<circle id="moon" cx="120" cy="150" r="20"/>' } = how;
  return `<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300">
${layer === '' ? '' : `<g id="${layer}">${dots.join('')}</g>`}
<g id="openings">${moon}<rect id="window" x="200" y="120" width="60" height="40"/></g>
<g id="outline"><rect id="edge" width="400" height="300"/></g></svg>`;
};

/** Where the part was put, with errors as a pointer makes them. */
const errors = [0.03, -0.04, 0.02, -0.01];
const [cos, sin] = [Math.cos(Math.PI / 180), Math.sin(Math.PI / 180)];
const put = ([x, y]: Place): [number, number] => [cos * x - sin * y + 210, sin * x + cos * y + 130];
const read = (p: Place, k: number): [number, number] => {
  const [x, y] = put(p);
  return [x + errors[k % 4]!, y - errors[(3 + 3 * k) % 4]!];
};
const two = ([x, y]: Place): string => `[${x.toFixed(2)}, ${y.toFixed(2)}]`;
const readings = (names = 'ABCD'): string[] => [
  'readings:',
  ...[...names].map((name, k) => `  ${name}: ${two(read(marks[name]!, k))}`),
];

const job = (parts: {
  typed?: (p: Place, name: string) => Place;
  readings?: readonly string[];
  more?: string;
}): string =>
  [
    'drawing: screen.svg',
    ...(parts.typed === undefined
      ? []
      : [
          'marks:',
          ...Object.entries(marks).map(([name, p]) => `  ${name}: [${parts.typed!(p, name).join(', ')}]`),
        ]),
    ...(parts.readings ?? readings()),
    'fit: {reading-sd: 0.06}',
    'cut: {clearance: 0.5, kerf: 0.12}',
    parts.more ?? '',
    '',
  ].join('\n');

const bench = (drawing = screen()): Workshop => {
  const shop = workshop();
  shop.write('screen.svg', drawing);
  return shop;
};

interface Advice {
  readonly kind: string;
  readonly message: string;
  readonly set: { readonly key: string; readonly value: string } | null;
}

const check = async (shop: Workshop, text: string) => {
  shop.write('job.yaml', text);
  const { status, out, err } = await shop.call('check', '--json', 'job.yaml');
  return {
    status,
    err,
    said: out === '' ? undefined : (JSON.parse(out) as { verdict: string; advice: Advice[] }),
  };
};

/** The job fits, and the panel lies where it was put. */
const isSound = async (shop: Workshop, text: string): Promise<void> => {
  const { status, err, said } = await check(shop, text);
  expect([err, said?.verdict, status]).toEqual(['', 'fits', 0]);
  const { matrix } = JSON.parse((await shop.call('fit', '--json', 'job.yaml')).out) as { matrix: number[] };
  const [a, b, c, d, e, f] = matrix as [number, number, number, number, number, number];
  for (const [x, y] of [
    [0, 0],
    [400, 0],
    [0, 300],
  ] as const) {
    const [wantedX, wantedY] = put([x, y]);
    expect(Math.hypot(a * x + c * y + e - wantedX, b * x + d * y + f - wantedY)).toBeLessThan(0.2);
  }
};

const withKey = (text: string, { set }: Advice): string => {
  const document = parseDocument(text);
  expect(set).not.toBeNull();
  document.setIn(set!.key.split('.'), document.createNode(parse(set!.value)));
  return String(document);
};

describe('positions of marks in the job', () => {
  it.each<[what: string, typed: (p: Place, name: string) => Place, step?: number]>([
    ['two digits exchanged in one of them', (p, n) => (n === 'C' ? [327, p[1]] : p)],
    ['a digit wrong in the y of one', (p, n) => (n === 'D' ? [p[0], 210] : p)],
    ['a decimal point forgotten in one', (p, n) => (n === 'B' ? [p[0], 300] : p)],
    ['y before x in one', (p, n) => (n === 'D' ? [p[1], p[0]] : p)],
    ['y before x in all of them', ([x, y]) => [y, x]],
    ['all in cm', ([x, y]) => [x / 10, y / 10]],
    ['all in inches', ([x, y]) => [x / 25.4, y / 25.4]],
    ['y counted downwards', ([x, y]) => [x, 300 - y]],
    ['x counted from the right', ([x, y]) => [400 - x, y]],
    ['counted from the middle of the panel', ([x, y]) => [x - 200, y - 150]],
    // Readings of two marks exchanged look the same, and are named first.
    ['two of them exchanged', (p, n) => (n === 'A' ? marks.B! : n === 'B' ? marks.A! : p), 1],
  ])('%s: the line of the advice', async (_, typed, step = 0) => {
    const shop = bench(screen({ marks: '' }));
    const text = job({ typed });
    const before = await check(shop, text);
    expect([before.status, before.said!.verdict === 'fits']).toEqual([1, false]);
    await isSound(shop, withKey(text, before.said!.advice[step]!));
  });

  it('one that is a millimetre off, where reading again changes nothing: where the others put it', async () => {
    const shop = bench(screen({ marks: '' }));
    const text = job({ typed: (p, n) => (n === 'D' ? [61.3, 270] : p) });
    const { advice } = (await check(shop, text)).said!;
    expect(advice.map(({ kind }) => kind)).toEqual(['read-again', 'correct-marks']);
    const [, x, y] = /about \[([\d.]+), ([\d.]+)\]/.exec(advice[1]!.message)!;
    await isSound(shop, job({ typed: (p, n) => (n === 'D' ? [Number(x), Number(y)] : p) }));
  });
});

describe('touches', () => {
  const edge: Place[] = [
    [100, 0],
    [300, 0],
    [400, 100],
    [400, 250],
    [320, 300],
    [90, 300],
    [0, 200],
  ];
  const round = (radius: number, count = 3): Place[] =>
    Array.from({ length: count }, (_, k) => {
      const angle = 0.3 + (2 * Math.PI * k) / count;
      return [120 + radius * Math.cos(angle), 150 + radius * Math.sin(angle)];
    });
  const touches = (on: string, places: readonly Place[], more = '', per = 1): string[] =>
    places.map(
      (p, k) => `  - {on: ${on}, at: ${two(read(p, k).map((v) => v / per) as [number, number])}${more}}`,
    );

  it('on a hole that is larger than drawn: the radius is left open', async () => {
    const shop = bench();
    const text = job({
      readings: readings('AB'),
      more: ['touches:', ...touches('moon', round(20.8, 4))].join('\n'),
    });
    const before = await check(shop, text);
    expect(before.said!.verdict).not.toBe('fits');
    await isSound(shop, withKey(text, before.said!.advice[0]!));
  });

  it('on a hole whose stated radius is wrong in each of them: the touches that the advice names', async () => {
    const shop = bench();
    const lines = ['touches:', ...touches('moon', round(20.8, 4), ', radius: 20')];
    const text = job({ more: lines.join('\n') });
    const [advice] = (await check(shop, text)).said!.advice;
    const [, named] = /in touches ([\d, and]+), on moon/.exec(advice!.message)!;
    const document = parseDocument(text);
    for (const touch of named!.match(/\d+/g)!)
      document.setIn(['touches', Number(touch) - 1, 'radius'], 'unknown');
    await isSound(shop, String(document));
  });

  it.each([
    ['inches', 25.4],
    ['cm', 10],
  ] as const)('read in %s: multiplied as the advice says', async (unit, factor) => {
    const shop = bench();
    const all = (per: number) => [
      'touches:',
      ...touches('outline', edge, '', per),
      ...touches('moon', round(20), '', per),
    ];
    const window: Place[] = [
      [200, 150],
      [230, 180],
    ];
    const text = (per: number) =>
      job({
        readings: [],
        more: [...all(per), ...touches('window', window, '', per), 'face: up'].join('\n'),
      });
    shop.write('job.yaml', text(factor));
    const { status, err } = await shop.call('check', 'job.yaml');
    expect(status).toBe(3);
    expect(err.replace(/\s+/g, ' ')).toContain(
      `the display showed ${unit}, so multiply each of them by ${factor}`,
    );
    await isSound(shop, text(1));
  });
});

describe('what else a newcomer leaves', () => {
  it('an opening that does not quite close is not left out of a cut that fits: the line of the advice', async () => {
    const moon =
      '<path id="moon" fill="none" stroke="black" d="M100,130 L140,130 L140,170 L100,170 L100,130.3"/>';
    const shop = bench(screen({ moon }));
    const before = await check(shop, job({}));
    expect([before.status, before.said!.verdict]).toEqual([1, 'too-close']);
    await isSound(shop, withKey(job({}), before.said!.advice[0]!));
    await isSound(shop, `${job({})}roles: {openings: [openings, not moon]}\n`);
  });

  it('an outline half of which has no role: the line of the advice', async () => {
    const halves =
      '<g id="outline"><path id="left" fill="none" stroke="black" d="M400,0H0V300"/></g><path id="right" fill="none" stroke="red" d="M0,300H400V0"/>';
    const shop = bench(screen().replace(/<g id="outline">.*?<\/g>/, halves));
    const before = await check(shop, job({}));
    expect([before.status, before.said!.verdict]).toEqual([1, 'too-close']);
    const [, line] = /^Write '(roles: .*)', which makes them one outline/.exec(
      before.said!.advice[0]!.message,
    )!;
    expect((await shop.call('list', 'screen.svg')).out.replace(/\s+/g, ' ')).toContain(line);
    await isSound(shop, `${job({})}${line}\n`);
  });

  it('a map of the bed with a wrong digit: without it', async () => {
    const shop = bench();
    const text = job({ more: 'machine: {axes: y-up, bed-map: {scale: [1.04, 1]}}' });
    const [advice] = (await check(shop, text)).said!.advice;
    expect(advice!.message).toMatch(/^Take "bed-map" under "machine:" out/);
    await isSound(shop, job({ more: 'machine: {axes: y-up}' }));
  });

  it('the display set to zero anew between the marks: all of them are read again', async () => {
    const shop = bench();
    const moved = readings().map((line, k) =>
      k < 3 ? line : line.replace(/\[(.*),/, (_, x) => `[${Number(x) + 12.5},`),
    );
    const [advice] = (await check(shop, job({ readings: moved }))).said!.advice;
    expect(advice).toMatchObject({ kind: 'read-again' });
    expect(advice!.message).toContain('in one go');
    await isSound(shop, job({}));
  });

  it('y written before x throughout, of a panel put on its side: what may be is advised as well as what is likely', async () => {
    const shop = bench();
    const side = Object.entries(marks).map(([name, p]) => {
      const [x, y] = put(p);
      // Turned by a quarter: x becomes 900 - y. Written the wrong way round it looks like a part on its face.
      return `  ${name}: [${x.toFixed(2)}, ${(900 - y).toFixed(2)}]`;
    });
    const { said } = await check(
      shop,
      job({ readings: ['readings:', ...side], more: 'face: up\nmachine: {axes: y-up}' }),
    );
    const [likely, ...others] = said!.advice.map(({ message }) => message);
    expect(likely).toContain('face: down');
    expect(others.join(' ')).toMatch(/exchange x and y in every reading/i);
  });

  it('one reading typed for two marks is told as that', async () => {
    const shop = bench();
    const pasted = readings().map((line, k, all) =>
      k === 2 ? line.replace(/\[.*/, /\[.*/.exec(all[1]!)![0]) : line,
    );
    shop.write('job.yaml', job({ readings: pasted }));
    const { out } = await shop.call('check', 'job.yaml');
    expect(out.replace(/\s+/g, ' ')).toContain(
      'Marks A and B have the same reading: by the others it is that of A.',
    );
    expect(out).toMatch(/Next: read again at B,/);
  });

  it('the same for all marks: the failure says so, and nothing else', async () => {
    const shop = bench();
    shop.write('job.yaml', job({ readings: ['readings: {A: [300, 200], B: [300, 200]}'] }));
    const { status, err } = await shop.call('check', 'job.yaml');
    expect([status, /probably one reading was entered for all/.test(err), /suspect/.test(err)]).toEqual([
      3,
      true,
      false,
    ]);
  });

  it('a clearance or kerf that nobody states is named beside the verdict', async () => {
    const shop = bench();
    shop.write('job.yaml', job({}).replace(/cut: .*\n/, ''));
    const { out } = await shop.call('check', 'job.yaml');
    expect(out.replace(/\s+/g, ' ')).toContain(
      'Not stated: the clearance of 0.5 mm and a kerf of 0; write them under "cut:".',
    );
  });
});

describe('lines that are printed to begin from', () => {
  /** From the line of the drawing, or of the marks, to the end of the block. */
  const block = (out: string): string => /^(?:drawing|marks):[\s\S]*?(?=\n(?:[A-Z]|$))/m.exec(out)![0];
  const filled = (lines: string): string => {
    const document = parseDocument(lines);
    for (const name of Object.keys(marks))
      document.setIn(['readings', name], read(marks[name]!, 'ABCD'.indexOf(name)));
    return String(document);
  };

  it('by list: a job, once the figures of the display stand in it', async () => {
    const shop = bench();
    await isSound(shop, filled(block((await shop.call('list', 'screen.svg')).out)));
  });

  it('by list of a drawing whose layers have names of their own, with the line of their roles', async () => {
    const shop = bench(
      screen({ marks: 'Register crosses' })
        .replace('id="openings"', 'id="Fern leaves"')
        .replace('id="outline"', 'id="Panel"'),
    );
    const lines = block((await shop.call('list', 'screen.svg')).out);
    expect(lines).toMatch(/roles: \{marks: "Register crosses", openings: "Fern leaves"/);
    await isSound(shop, filled(lines.replace('"Fern leaves"}', '"Fern leaves", outline: edge}')));
  });

  it('by list of a drawing without marks, with their places typed', async () => {
    const shop = bench(screen({ marks: '' }));
    const document = parseDocument(block((await shop.call('list', 'screen.svg')).out));
    document.set('marks', marks);
    document.set('readings', {});
    await isSound(shop, filled(String(document)));
  });

  it('by list of a drawing whose marks have only the ids of a program: letters to read them by', async () => {
    const shop = bench(
      screen().replace(/circle id="([A-D])"/g, (_, n) => `circle id="path10${'ABCD'.indexOf(n)}"`),
    );
    const lines = block((await shop.call('list', 'screen.svg')).out);
    expect(lines).toContain('marks:\n  A: path100\n');
    await isSound(shop, filled(lines));
  });

  it('by list of a job that states a unit: that it does', async () => {
    const shop = bench();
    shop.write('job.yaml', job({ more: 'units: mm' }));
    expect((await shop.call('list', 'job.yaml')).out).toContain('unit mm (units: mm in the job); 4 marks');
  });

  it('placeholders that were left are named', async () => {
    const shop = bench();
    shop.write('job.yaml', block((await shop.call('list', 'screen.svg')).out));
    const { err } = await shop.call('check', 'job.yaml');
    expect(err).toContain('Write the x that the display shows there, in mm');
  });

  it('by plan: where the marks are, as a job has it', async () => {
    const shop = bench(screen({ marks: '' }));
    shop.write('job.yaml', 'drawing: screen.svg\nfit: {reading-sd: 0.06}\ncut: {clearance: 0.5}\n');
    const { out } = await shop.call('plan', 'job.yaml');
    const document = parseDocument(block(out));
    const placed = document.toJS() as { marks: Record<string, Place> };
    expect(Object.keys(placed.marks)).toHaveLength(3);
    for (const [k, [name, p]] of Object.entries(placed.marks).entries())
      document.setIn(['readings', name], read(p, k));
    await isSound(
      shop,
      `drawing: screen.svg\nfit: {reading-sd: 0.06}\ncut: {clearance: 0.5, kerf: 0.12}\n${document}`,
    );
  });
});

describe('what is written in a job by mistake', () => {
  const nextOf = (err: string): string => /next: +(.*)/.exec(err)![1]!;
  const J = job({});
  const asList = J.replace(
    /readings:\n( {2}.*\n)+/,
    `readings: [${Object.values(marks)
      .map((p, k) => two(read(p, k)))
      .join(', ')}]\n`,
  );
  const named = (text: string): string => {
    const document = parseDocument(text);
    const list = document.toJS().readings as Place[];
    document.set('readings', Object.fromEntries(Object.keys(marks).map((name, k) => [name, list[k]])));
    return String(document);
  };

  it.each<
    [what: string, text: string, advice: RegExp, mend: (text: string, found: RegExpExecArray) => string]
  >([
    ['a list of readings without names', asList, /^Write the name of its mark before each reading/, named],
    [
      'a colon without a blank in braces',
      J.replace('clearance: 0.5', 'clearance:0.5'),
      /^Write (clearance: 0\.5), with a blank/,
      (t, [, line]) => t.replace('clearance:0.5', line!),
    ],
    [
      'a unit behind a number',
      J.replace('clearance: 0.5', 'clearance: 0.5mm'),
      /^Write the bare number: (0\.5)\.$/,
      (t, [, n]) => t.replace('0.5mm', n!),
    ],
    [
      'a drawing without its ending',
      J.replace('screen.svg', 'screen'),
      /^Did you mean (screen\.svg)\?$/,
      (t, [, name]) => t.replace('screen', name!),
    ],
    [
      'quotes of a word processor',
      J.replace('screen.svg', '“screen.svg”'),
      /none to YAML: (drawing: screen\.svg)$/,
      (t, [, line]) => t.replace(/drawing: .*/, line!),
    ],
    [
      'a reading without brackets',
      J.replace(/A: \[(.*), (.*)\]/, 'A: $1 $2'),
      /as in (\[[\d.]+, [\d.]+\])\.$/,
      (t, [, pair]) => t.replace(/A: .*/, `A: ${pair}`),
    ],
    [
      'a drawn opening read as a mark',
      J.replace(/ {2}D: .*/, `  moon: ${two(read([120, 150], 3))}`),
      /^Write "(marks: .*)" into the job/,
      (t, [, line]) => `${t}${line}\n`,
    ],
    [
      'axes at the top of the job',
      `${J}axes: y-up\n`,
      /^Write it under "(machine)", as "(axes)"\.$/,
      (t, [, section, key]) => t.replace('axes: y-up', `${section}: {${key}: y-up}`),
    ],
    [
      'another word for the unit',
      `${J}units: millimeters\n`,
      /^Did you mean "(mm)"\?$/,
      (t, [, unit]) => t.replace('millimeters', unit!),
    ],
    [
      'a reading-sd of nothing',
      J.replace('reading-sd: 0.06', 'reading-sd: 0'),
      /^Write how far one reading strays, such as (0\.08)/,
      (t, [, sd]) => t.replace('reading-sd: 0', `reading-sd: ${sd}`),
    ],
    [
      'touches that are no list',
      `${J}touches: {on: outline, at: ${two(read([300, 0], 1))}}\n`,
      /^Write - \{on: NAME, at: \[x, y\]\} for each touch/,
      (t) => t.replace(/touches: (.*)/, 'touches:\n  - $1'),
    ],
    [
      'the panel touched by a name of its own',
      `${J}touches:\n  - {on: panel, at: ${two(read([300, 0], 1))}}\n`,
      /^Write "(outline)" for the edge of the panel/,
      (t, [, name]) => t.replace('on: panel', `on: ${name}`),
    ],
    [
      'a date as people write it',
      `${J}date: 20.11.2026\n`,
      /(2026-11-20)\.$/,
      (t, [, day]) => t.replace('20.11.2026', day!),
    ],
    [
      'two lines of roles',
      `${J}roles: {openings: openings}\nroles: {outline: edge}\n`,
      /^Remove one of them/,
      (t) => t.replace('roles: {openings: openings}\n', ''),
    ],
    [
      'a mark left out of a list of marks',
      `${J}marks: {A: A, B: B, C: C}\n`,
      /^Add "(D: D)" to "marks:"\.$/,
      (t, [, entry]) => t.replace('C: C', `C: C, ${entry}`),
    ],
  ])('%s: the words of the advice', async (_, text, advice, mend) => {
    const shop = bench();
    const { status, err } = await check(shop, text);
    expect(status).toBe(2);
    const found = advice.exec(nextOf(err));
    expect(found, nextOf(err)).not.toBeNull();
    await isSound(shop, mend(text, found!));
  });

  it('another word for the kind of cut', async () => {
    const shop = bench();
    const { err } = await check(shop, J.replace('clearance:', 'kind: infill, clearance:'));
    expect(nextOf(err)).toBe('Did you mean "inlay"?');
  });

  it('tables that a spreadsheet wrote, or blanks instead of commas', async () => {
    const shop = bench();
    const text = J.replace(/readings:\n( {2}.*\n)+/, 'readings: r.csv\n');
    const rows = (by: string) =>
      [
        `mark${by}x${by}y`,
        ...Object.entries(marks).map(([n, p], k) => [n, ...read(p, k).map((v) => v.toFixed(2))].join(by)),
      ].join('\n');
    shop.write('r.csv', rows(' '));
    expect(nextOf((await check(shop, text)).err)).toBe('Separate mark, x and y by commas.');
    shop.write('r.csv', rows(','));
    await isSound(shop, text);
    shop.write('r.csv', 'PK\u0003\u0004');
    expect(nextOf((await check(shop, text)).err)).toBe('Save the table as CSV.');
  });

  it('a file in place of a command, or a file with another ending', async () => {
    const shop = bench();
    shop.write('job.yaml', J);
    expect(nextOf((await shop.call('screen.svg')).err)).toBe(
      'Write the command before the file: reseat list screen.svg',
    );
    expect(nextOf((await shop.call('job.yaml')).err)).toBe(
      'Write the command before the file: reseat check job.yaml',
    );
    expect(nextOf((await shop.call('check', 'job.yml')).err)).toBe('Did you mean job.yaml?');
  });
});
