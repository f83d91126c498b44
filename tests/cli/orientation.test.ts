/**
 * Positions of marks that are typed wrongly as a whole, and jobs that leave open which way y counts. The advice is followed to
 * the letter; what comes out is compared with where the part was put.
 */
import { describe, expect, it } from 'vitest';
import { parse, parseDocument } from 'yaml';
import { type Workshop, workshop } from './workshop.js';

type Place = readonly [number, number];
/** Design frame, y up; the panel begins at (20, 30) of a page of 430 x 340 mm. */
const marks: Readonly<Record<string, Place>> = { A: [45, 62], B: [392, 50], C: [210, 290], D: [370, 250] };
const panel = { minX: 20, minY: 30, maxX: 420, maxY: 330 };
const page = 340;

const svg = (drawn: boolean, [dx, dy]: Place = [0, 0]): string => {
  const y = (value: number): number => page - value - dy;
  const dots = Object.entries(marks).map(
    ([id, [cx, cy]]) => `<circle id="${id}" cx="${cx + dx}" cy="${y(cy)}" r="1"/>`,
  );
  return `<svg xmlns="http://www.w3.org/2000/svg" width="430mm" height="${page}mm" viewBox="0 0 430 ${page}">
${drawn ? `<g id="marks">${dots.join('')}</g>` : ''}
<g id="openings"><path id="fern" d="M${90 + dx} ${y(90)} L${200 + dx} ${y(100)} L${120 + dx} ${y(190)} Z"/></g>
<g id="outline"><rect id="edge" x="${panel.minX + dx}" y="${y(panel.maxY)}" width="400" height="300"/></g></svg>`;
};

/** Where the part really lies, on a display that counts y upwards. */
const lies = ([x, y]: Place): [number, number] => {
  const [cos, sin] = [Math.cos(0.3), Math.sin(0.3)];
  return [cos * x - sin * y + 300, sin * x + cos * y + 100];
};
const down = ([x, y]: Place): [number, number] => [x, 900 - y];
const two = ([x, y]: Place): string => `[${x.toFixed(2)}, ${y.toFixed(2)}]`;

const job = (
  names: string,
  typed: ((p: Place) => Place) | undefined,
  display: (p: Place) => Place = (p) => p,
  more = '',
): string =>
  [
    'drawing: screen.svg',
    ...(typed ? [`marks: {${[...names].map((n) => `${n}: ${two(typed(marks[n]!))}`).join(', ')}}`] : []),
    `readings: {${[...names].map((n) => `${n}: ${two(display(lies(marks[n]!)))}`).join(', ')}}`,
    'fit: {reading-sd: 0.05}',
    'cut: {clearance: 0.5, kerf: 0.1}',
    more,
  ].join('\n');

const check = async (shop: Workshop, text: string) => {
  shop.write('job.yaml', text);
  const { status, out, err } = await shop.call('check', '--json', 'job.yaml');
  expect(err).toBe('');
  return { status, said: JSON.parse(out) };
};

interface Advice {
  readonly set: { readonly key: string; readonly value: string };
}

const followed = (text: string, { set }: Advice): string => {
  const document = parseDocument(text);
  document.setIn(set.key.split('.'), document.createNode(parse(set.value)));
  return String(document);
};

/** The largest distance of the fitted corners of the panel from where they really lie. */
const offBy = async (shop: Workshop, display: (p: Place) => Place, [dx, dy]: Place = [0, 0]) => {
  const { out } = await shop.call('fit', '--json', 'job.yaml');
  const { matrix, axes } = JSON.parse(out) as { matrix: number[]; axes?: string };
  const [a, b, c, d, e, f] = matrix as [number, number, number, number, number, number];
  const isDown = axes === 'y-down' || /y-down/.test(shop.read('job.yaml'));
  return Math.max(
    ...[
      [panel.minX, panel.minY],
      [panel.maxX, panel.minY],
      [panel.minX, panel.maxY],
    ].map((corner) => {
      const p = corner as unknown as Place;
      const [x, y] = [p[0] + dx, p[1] + dy];
      const at = [a * x + c * y + e, b * x + d * y + f] as const;
      const true_ = display(lies(p));
      return Math.hypot(at[0] - true_[0], (isDown ? -at[1] : at[1]) - true_[1]);
    }),
  );
};

describe('positions of marks that are typed wrongly as a whole', () => {
  it.each([
    ['y counted downwards', 'ABCD', false, ([x, y]: Place): Place => [x, page - y]],
    ['y counted downwards, three marks', 'ABC', false, ([x, y]: Place): Place => [x, page - y]],
    ['y counted downwards, marks drawn', 'ABC', true, ([x, y]: Place): Place => [x, page - y]],
    [
      'counted from the corner of the panel, marks drawn',
      'ABCD',
      true,
      ([x, y]: Place): Place => [x - 20, y - 30],
    ],
    ['x and y exchanged, marks drawn', 'ABC', true, ([x, y]: Place): Place => [y, x]],
  ] as const)('%s: the first advice mends the job', async (_, names, drawn, typed) => {
    const shop = workshop();
    shop.write('screen.svg', svg(drawn));
    const text = job(names, typed);
    const before = await check(shop, text);
    expect([before.status, before.said.verdict === 'fits']).toEqual([1, false]);
    const after = await check(shop, followed(text, before.said.advice[0]));
    expect([after.said.verdict, after.status]).toEqual(['fits', 0]);
    expect(await offBy(shop, (p) => p)).toBeLessThan(0.05);
  });

  it('counted from the corner of a panel that lies far from the origin: the shift is named', async () => {
    const shop = workshop();
    const far: Place = [1000, 500];
    shop.write(
      'screen.svg',
      svg(false, far).replace(`viewBox="0 0 430 ${page}"`, `viewBox="0 0 430 ${page}"`),
    );
    const text = job('ABCD', ([x, y]) => [x - 20, y - 30]);
    const before = await check(shop, text);
    expect(before.said.verdict).not.toBe('fits');
    const [warning] = before.said.warnings;
    expect([warning.code, /begins at \(1020, 530\)/.test(warning.message)]).toEqual(['mark-misplaced', true]);
    const cut = await shop.call('cut', 'job.yaml', '-o', 'cut.svg');
    expect(cut.status).toBe(1);
    expect(shop.read('cut.svg')).toContain('NOT PROVEN');
    const after = await check(shop, followed(text, before.said.advice[0]));
    expect([after.said.verdict, after.status]).toEqual(['fits', 0]);
    expect(await offBy(shop, (p) => p, far)).toBeLessThan(0.05);
  });

  it('marks of a frame round the panel, and marks that are typed where they are drawn, are in no doubt', async () => {
    const shop = workshop();
    shop.write('screen.svg', svg(true));
    expect(
      (
        await check(
          shop,
          job('ABCD', (p) => p),
        )
      ).said.verdict,
    ).toBe('fits');
    shop.write('screen.svg', svg(false));
    const frame = { A: [-80, -60], B: [520, -50], C: [200, 440] } as const;
    const line = (at: (p: Place) => Place) =>
      Object.entries(frame)
        .map(([n, p]) => `${n}: ${two(at(p))}`)
        .join(', ');
    const text = `drawing: screen.svg\nmarks: {${line((p) => p)}}\nreadings: {${line(lies)}}\nfit: {reading-sd: 0.05}\ncut: {clearance: 0.5}\n`;
    expect((await check(shop, text)).said.verdict).toBe('fits');
  });
});

describe('a pattern that cannot tell a mirror image, where neither axes nor face is stated', () => {
  it('two marks do not fit before one is; the advice that holds mends it', async () => {
    const shop = workshop();
    shop.write('screen.svg', svg(true));
    for (const [display, advice] of [
      [(p: Place) => p, 0],
      [down, 1],
    ] as const) {
      const text = job('AB', undefined, display);
      const before = await check(shop, text);
      expect([before.status, before.said.verdict]).toEqual([1, 'too-close']);
      expect(before.said.explanation).toMatch(/which way the display counts y, nor which face/);
      const cut = await shop.call('cut', 'job.yaml', '-o', 'cut.svg', '--force');
      expect(cut.status).toBe(1);
      const after = await check(shop, followed(text, before.said.advice[advice]));
      expect([after.said.verdict, after.status]).toEqual(['fits', 0]);
      expect(await offBy(shop, display)).toBeLessThan(0.05);
    }
  });

  it('a stated face, stated axes, a witness reading or a third mark settles it', async () => {
    const shop = workshop();
    shop.write('screen.svg', svg(true));
    const witness = `witness: [{point: [90, 90], reading: ${two(lies([90, 90]))}}]`;
    for (const more of ['face: up', 'machine: {axes: y-up}', witness])
      expect((await check(shop, job('AB', undefined, undefined, more))).said.verdict).toBe('fits');
    expect((await check(shop, job('ABC', undefined))).said.verdict).toBe('fits');
    const wrong = await check(
      shop,
      job('AB', undefined, down, `witness: [{point: [90, 90], reading: ${two(down(lies([90, 90])))}}]`),
    );
    expect(wrong.said.verdict).not.toBe('fits');
    expect(wrong.said.advice[0].set).toEqual({ key: 'machine.axes', value: 'y-down' });
  });

  it('an outline that is touched all round does not fit either, whatever start decided', async () => {
    const shop = workshop();
    shop.write('screen.svg', svg(false));
    const at: Place[] = [
      [100, 30],
      [300, 30],
      [420, 100],
      [420, 250],
      [320, 330],
      [90, 330],
      [20, 200],
    ];
    const touches = (display: (p: Place) => Place, start: boolean) =>
      at.map(
        (p, i) =>
          `  - {on: outline, at: ${two(display(lies(p)))}${start && i % 3 === 0 ? `, start: ${two(p)}` : ''}}`,
      );
    const text = (display: (p: Place) => Place, more: readonly string[] = [], start = true) =>
      [
        'drawing: screen.svg',
        'touches:',
        ...touches(display, start),
        ...more,
        'fit: {reading-sd: 0.05}',
        'cut: {clearance: 0.5}',
        '',
      ].join('\n');
    const before = await check(shop, text(down));
    expect([before.status, before.said.verdict]).toEqual([1, 'too-close']);
    const after = await check(shop, followed(text(down), before.said.advice[1]));
    expect(after.said.verdict).toBe('fits');
    expect(await offBy(shop, down)).toBeLessThan(0.1);
    // Openings that were touched as well rule the mirror image out: y-down is named before the face.
    const fern = [
      [145, 95],
      [160, 145],
      [105, 140],
    ] as const;
    const more = fern.map((p) => `  - {on: fern, at: ${two(down(lies(p)))}}`);
    shop.write('job.yaml', text(down, more, false));
    const refused = await shop.call('check', 'job.yaml');
    expect(refused.status).toBe(3);
    expect(refused.err).toMatch(/next: +Write "machine: \{axes: y-down\}"/);
    expect((await check(shop, `${text(down, more, false)}machine: {axes: y-down}\n`)).said.verdict).toBe(
      'fits',
    );
  });
});

describe('typed marks beside openings of a drawing that has no outline', () => {
  it('may lie anywhere on the page: where the panel ends nobody says', async () => {
    const { write, call } = workshop();
    write(
      'two.svg',
      '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200"><g id="openings"><circle id="a" cx="150" cy="60" r="10"/><circle id="b" cx="190" cy="60" r="10"/></g></svg>',
    );
    write(
      'two.yaml',
      'drawing: two.svg\nmachine: {axes: y-up}\nmarks: {A: [130, 10], B: [210, 10], C: [170, 60]}\nreadings: {A: [230.01, 110], B: [310, 110.02], C: [270, 159.99]}\nfit: {reading-sd: 0.05}\ncut: {clearance: 0.8, kerf: 0.1}\n',
    );
    const { out } = await call('check', '--json', 'two.yaml');
    const codes = JSON.parse(out).warnings.map((one: { code: string }) => one.code);
    expect(codes).not.toContain('mark-misplaced');
  });
});
