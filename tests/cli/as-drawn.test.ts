import { describe, expect, it } from 'vitest';
import { readDrawing } from '../../src/drawing/read.js';
import { evaluate } from '../drawing/nc-machine.js';
import { readSvgBack } from '../drawing/read-back.js';
import { jobText, panel, placed, type Workshop, workshop } from './workshop.js';

/** The panel with an open line in a layer of its own. */
const withSlot = panel.replace(
  '<rect id="outline"',
  '<g id="score"><path id="slot" d="M20 20H60"/></g><rect id="outline"',
);

const asDrawn = (more = '', cut = '{kind: as-drawn}'): string =>
  jobText({ more }).replace(/cut: .*/, `cut: ${cut}`);

const shopWith = (job: string, drawing = withSlot): Workshop => {
  const shop = workshop();
  shop.write('panel.svg', drawing);
  shop.write('job.yaml', job);
  return shop;
};

describe('cut: {kind: as-drawn}', () => {
  it('cuts every line but the marks again where the part lies, each under its own name and layer', async () => {
    const shop = shopWith(asDrawn('machine: {kerf: 0.3, kerf-sd: 0.01}'));
    const { status, out, err } = await shop.call('cut', 'job.yaml', '--json', '-o', 'again.svg');
    expect(err).toBe('');
    // Nothing says how far it may lie off: written, and not proven.
    expect(status).toBe(1);
    const paths = JSON.parse(out).paths as { openings: string[]; length: number; area: number | null }[];
    expect(paths.flatMap((p) => p.openings).sort()).toEqual(['moon', 'outline', 'slot', 'window']);
    expect(paths.at(-1)!.openings).toEqual(['outline']);
    const slot = paths.find((p) => p.openings[0] === 'slot')!;
    expect(slot).toMatchObject({ length: expect.closeTo(40, 6), area: null });
    // Not a hair larger or smaller than drawn, whatever the machine's kerf.
    expect(paths.find((p) => p.openings[0] === 'moon')!.length).toBeCloseTo(20 * Math.PI, 6);

    const again = readDrawing(new TextEncoder().encode(shop.read('again.svg')), { path: 'again.svg' });
    const line = again.shapes.find((s) => s.id === 'slot')!;
    expect(line.layers[0]).toBe('score');
    expect(line.paths[0]!.closed).toBe(false);
    const [x0, y0] = placed(20, 80);
    const [x1, y1] = placed(60, 80);
    expect(line.paths[0]!.segments).toMatchObject([
      {
        kind: 'line',
        from: { x: expect.closeTo(x0, 5), y: expect.closeTo(y0, 5) },
        to: { x: expect.closeTo(x1, 5), y: expect.closeTo(y1, 5) },
      },
    ]);
  });

  it('tells of a path that nearly closes without calling it left out: it is cut', async () => {
    const gap = panel.replace('</svg>', '<path id="c" fill="none" d="M20 20h20v10h-20v-9.95"/></svg>');
    const shop = shopWith(asDrawn());
    shop.write('panel.svg', gap);
    const { status, out } = await shop.call('cut', 'job.yaml', '-o', 'a.svg');
    expect(status).toBe(1);
    expect(out).not.toContain('open-path-left-out');
    expect(out.replace(/\s+/g, ' ')).toContain('lines-joined: 1 path nearly closed: c (0.05 mm gap');
    expect(readSvgBack(shop.read('a.svg')).paths.map((p) => p.id)).toContain('c');
  });

  it('says what else is cut, or, where the openings are stated, what is not', async () => {
    const all = await shopWith(asDrawn()).call('cut', 'job.yaml', '-o', 'a.svg');
    expect(all.out.replace(/\s+/g, ' ')).toContain('as drawn, without clearance or kerf');
    expect(all.out.replace(/\s+/g, ' ')).toContain('1 shape that is neither opening nor outline (slot)');
    const stated = shopWith(asDrawn('roles: {openings: openings}'));
    const some = await stated.call('cut', 'job.yaml', '-o', 'a.svg');
    expect(some.out.replace(/\s+/g, ' ')).toContain('1 shape outside of the stated roles is not cut: slot.');
    expect(
      readSvgBack(stated.read('a.svg'))
        .paths.map((p) => p.id)
        .sort(),
    ).toEqual(['moon', 'outline', 'window']);
  });

  it.each([
    ['{kind: as-drawn, clearance: 0.5}', 'no "clearance" beside "kind: as-drawn", for nothing is set back'],
    [
      '{kind: as-drawn, kerf: 0.2}',
      'no "kerf" beside "kind: as-drawn", for the beam runs along the drawn line',
    ],
    ['{kind: as-drawn, corners: round}', 'no "corners" beside "kind: as-drawn"'],
    ['{kind: as-drawn, smallest-land: 2}', 'no "smallest-land" beside "kind: as-drawn"'],
  ])('refuses %s', async (cut, expected) => {
    const { status, err } = await shopWith(asDrawn('', cut)).call('cut', 'job.yaml', '-o', 'a.svg');
    expect(status).toBe(2);
    expect(err).toContain(expected);
  });

  it('refuses film beside it', async () => {
    const { status, err } = await shopWith(asDrawn('film: {width: 100, overlap: 5}')).call(
      'cut',
      'job.yaml',
      '-o',
      'a.svg',
    );
    expect(status).toBe(2);
    expect(err).toContain('no "film" beside "cut: {kind: as-drawn}"');
  });

  it('refuses a first cut that did not run along the drawn line', async () => {
    const { status, err } = await shopWith(asDrawn('pierced: {kerf: 0.2, compensated: true}')).call(
      'cut',
      'job.yaml',
      '-o',
      'a.svg',
    );
    expect(status).toBe(2);
    expect(err).toContain('a first cut that ran along the drawn line');
  });

  it('checks the error against the deviation that is allowed, which has to be stated', async () => {
    const without = await shopWith(asDrawn()).call('check', 'job.yaml');
    expect(without.status).toBe(2);
    expect(without.err).toContain(
      'found:    a cut as drawn that does not say how far it may lie off the drawn line',
    );
    expect(without.err).toContain('expected: "check: {allowed-deviation: 0.2}", or what your piece allows');
    const wide = await shopWith(asDrawn('check: {allowed-deviation: 0.4}')).call(
      'check',
      'job.yaml',
      '--json',
    );
    expect(wide.status).toBe(0);
    const fits = JSON.parse(wide.out);
    expect(fits).toMatchObject({ verdict: 'fits', clearance: 0.4 });
    expect(fits.openings.map((o: { id: string }) => o.id)).toEqual(['moon', 'window', 'slot', 'outline']);

    const narrow = await shopWith(asDrawn('check: {allowed-deviation: 0.02}')).call('check', 'job.yaml');
    expect(narrow.status).toBe(1);
    const said = narrow.out.replace(/\s+/g, ' ');
    expect(said).toContain('the new line lies more than 0.020 mm off somewhere in');
    expect(said).toContain('Allowed deviation 0.02 mm; needed 0.');
    expect(said).not.toContain('clearance');
    for (const line of narrow.out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    // What was told without it is what is found to be needed.
    const needed = /at most 5 of 100 such jobs lie more than (\S+) mm off/.exec(without.err)![1]!;
    expect(Number(needed)).toBeCloseTo(fits.neededClearance, 2);
  });

  it('says what to write where a deviation has to be stated first, and does not claim a cut without it', async () => {
    const shop = shopWith(asDrawn());
    const flat = (text: string): string => text.replace(/\s+/g, ' ');
    expect(flat((await shop.call('fit', 'job.yaml')).out)).toContain(
      'Next: write "check: {allowed-deviation: 0.2}" into the job, or what your piece allows for 0.2 mm, and see',
    );
    expect(flat((await shop.call('cut', 'job.yaml', '-o', 'a.svg')).out)).toContain(
      'NOT PROVEN: the job does not say how far the cut may lie off the drawn line. Write "check: {allowed-deviation: 0.2}", or',
    );
    shop.write('job.yaml', asDrawn('check: {cut-sd: 0.02}'));
    expect((await shop.call('check', 'job.yaml')).err).toContain('"allowed-deviation: 0.2" under "check:"');
    shop.write('job.yaml', asDrawn('check: {allowed-deviation: 0.4}'));
    expect(flat((await shop.call('fit', 'job.yaml')).out)).toContain('the error fits the allowed deviation:');
  });

  it('tells no needed deviation that rests on a reading in doubt, or on nothing', async () => {
    const slip = asDrawn().replace(/C: \[(\d)(\d)/, 'C: [$2$1');
    const doubted = await shopWith(slip).call('check', 'job.yaml');
    expect(doubted.err).toContain('they are in doubt, and "reseat fit" says which');
    expect(doubted.err).not.toContain('lie more than');
    const bare = asDrawn()
      .replace('fit: {reading-sd: 0.06}', 'fit: {model: similarity}')
      .replace(/^ {2}[CD]:.*\n/gm, '');
    const { err } = await shopWith(bare).call('check', 'job.yaml');
    expect(err).toContain('State "fit: {reading-sd: ...}" as well');
  });

  it('says that a deviation is allowed only where lines are cut again', async () => {
    const { status, err } = await shopWith(jobText({ more: 'check: {allowed-deviation: 0.4}' })).call(
      'check',
      'job.yaml',
    );
    expect(status).toBe(2);
    expect(err).toContain('"cut: {kind: as-drawn}" beside it');
  });

  it('becomes an NC program, too', async () => {
    const nc = 'machine: {nc: {feed: 900, before-cut: M3 S80, after-cut: M5, last-lines: [M2]}}';
    const shop = shopWith(asDrawn(nc));
    const { status, out } = await shop.call('cut', 'job.yaml', '-o', 'again.nc');
    expect(status).toBe(1);
    expect(out).toContain('again.nc: 4 paths, 1 of them open');
    const text = shop.read('again.nc');
    expect(text.endsWith('\nM5\nM2\n')).toBe(true);
    const { cuts } = evaluate(text.replace(/M2\n$/, ''), { on: ['M3 S80'], off: ['M5'] });
    expect(cuts.map((c) => c.feed)).toEqual([900, 900, 900, 900]);
  });
});

describe('reseat cut -o FILE.nc', () => {
  it('is refused where the profile does not say how the machine is driven', async () => {
    const shop = workshop();
    const { status, out, err } = await shop.call('cut', 'job.yaml', '-o', 'a.nc');
    expect(status).toBe(2);
    expect(out).toBe('');
    expect(err).toContain('reseat: job.yaml');
    expect(err).toContain('does not say feed, before-cut, after-cut');
    expect(shop.files()).not.toContain('a.nc');
  });

  it('cuts the same on the material for a display that counts downwards', async () => {
    const nc = 'nc: {feed: 900, before-cut: M3 S80, after-cut: M5}';
    const tool = { on: ['M3 S80'], off: ['M5'] };
    const shop = workshop();
    const down = (x: number, y: number): [number, number] => {
      const [px, py] = placed(x, y);
      return [px, 400 - py];
    };
    shop.write('up.yaml', jobText({ more: `machine: {size: [600, 400], ${nc}}` }));
    shop.write(
      'down.yaml',
      jobText({ place: down, more: `machine: {axes: y-down, size: [600, 400], ${nc}}` }),
    );
    for (const name of ['up', 'down']) {
      expect((await shop.call('cut', `${name}.yaml`, '-o', `${name}.nc`)).status).toBe(0);
    }
    const [up, under] = ['up', 'down'].map((name) => evaluate(shop.read(`${name}.nc`), tool));
    expect(up!.arcs).toBeGreaterThan(2);
    for (const cut of under!.cuts) {
      const turnedBack = cut.points.map(({ x, y }) => ({ x, y: 400 - y }));
      // Every point of it lies on one path of the other.
      const twin = up!.cuts.find((other) => {
        const centre = (points: typeof cut.points) => points.reduce((sum, p) => sum + p.x, 0) / points.length;
        return Math.abs(centre(other.points) - centre(turnedBack)) < 5;
      })!;
      for (const p of turnedBack) {
        const off = Math.min(...twin.points.map((q) => Math.hypot(p.x - q.x, p.y - q.y)));
        expect(off).toBeLessThan(1.5);
      }
    }
  });
});
