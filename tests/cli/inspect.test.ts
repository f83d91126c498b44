import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { renderedPiece } from '../inspect/rendered-piece.js';
import { drawingSvg, jobText, smallPiece, trueGap } from '../inspect/true-cut.js';
import { type Workshop, workshop } from './workshop.js';

const errors = { x: 0.1, y: -0.06, turn: 0.002, size: 0, kerf: 0.03 };
const dpi = 300;
let made: Promise<Buffer> | undefined;
/** Made once for all tests here. */
const scanned = (): Promise<Buffer> => {
  made ??= (async () => {
    const how = { width: 44, height: 32, density: dpi / 25.4, turn: 0.05, x: 4, y: 2, seed: 'cli' };
    const { width, height, levels } = renderedPiece(smallPiece, errors, how);
    return sharp(levels, { raw: { width, height, channels: 1 } })
      .withMetadata({ density: dpi })
      .png()
      .toBuffer();
  })();
  return made;
};

const shopWith = (more = ''): Workshop => {
  const shop = workshop();
  shop.write('small.svg', drawingSvg(smallPiece));
  shop.write('piece.yaml', jobText(more, undefined, smallPiece));
  return shop;
};

describe('reseat inspect', () => {
  it('names places to measure as lines for the job, and takes them filled in', async () => {
    const shop = shopWith();
    const asked = await shop.call('inspect', 'piece.yaml');
    expect(asked.status).toBe(0);
    expect(asked.out).toMatch(/Where to measure the finished piece: 10 gaps/);
    const lines = [...asked.out.matchAll(/- \{opening: (\S+), place: \[(\S+), (\S+)\], mm: \}/g)];
    expect(lines).toHaveLength(10);
    const rows = lines.map(([, opening, x, y]) => {
      const gap = trueGap(opening!, { x: Number(x), y: Number(y) }, 0.5, errors, smallPiece);
      return `  - {opening: ${opening}, place: [${x}, ${y}], mm: ${gap.toFixed(3)}}`;
    });
    shop.write('piece.yaml', jobText(`gap-sd: 0.01\ngaps:\n${rows.join('\n')}\n`, undefined, smallPiece));
    const { out } = await shop.call('inspect', 'piece.yaml');
    expect(out).toMatch(/kerf, mm +\+0\.0(29|30|31) /);
    expect(out).toMatch(/10 gaps; sd of one 0\.0100 mm, as stated/);
    const json = JSON.parse((await shop.call('inspect', '--json', 'piece.yaml')).out);
    expect(json.errors.map((e: { name: string }) => e.name)).toEqual(['x', 'y', 'turn', 'size', 'kerf']);
    expect(json.errors[2].value).toBeCloseTo(0.002, 4);
    expect(json.gaps).toHaveLength(10);
    expect(json.toMeasure).toEqual([]);
  });

  it('says as many places as were asked for in --json', async () => {
    const { out } = await shopWith().call('inspect', 'piece.yaml', '--places', '14', '--json');
    expect(JSON.parse(out).toMeasure).toHaveLength(14);
  });

  it('finds all gaps in a scan, and keeps to its schema', async () => {
    const shop = shopWith();
    shop.write('piece.png', await scanned());
    const { status, out, err } = await shop.call('inspect', 'piece.yaml', 'piece.png', '--gamma', '1');
    expect([status, err]).toEqual([0, '']);
    expect(out).toMatch(/gaps in piece\.png; sd of one/);
    const {
      scan,
      picture,
      errors: found,
    } = JSON.parse((await shop.call('inspect', 'piece.yaml', 'piece.png', '--json')).out);
    expect(scan).toBe('piece.png');
    expect(picture.gammaStated).toBe(false);
    expect(found[4].value).toBeCloseTo(0.03, 2);
    expect(found[0].limits[1] - found[0].limits[0]).toBeLessThan(0.01);
  });

  it('draws the gaps as a band round each opening and as curves, and overwrites nothing', async () => {
    const shop = shopWith();
    shop.write('piece.png', await scanned());
    const drawn = (file: string, ...more: string[]) =>
      shop.call('inspect', 'piece.yaml', 'piece.png', '--picture', file, ...more);
    expect((await drawn('gaps.svg')).status).toBe(0);
    const svg = shop.read('gaps.svg');
    for (const { id } of smallPiece.openings) expect(svg).toContain(`>${id}: gap along its edge`);
    // A band for each side: eleven of polygons, and of circles in pieces.
    expect(svg.match(/<polygon /g)!.length).toBeGreaterThanOrEqual(13);
    const again = await drawn('gaps.svg');
    expect([again.status, again.err]).toEqual([2, expect.stringMatching(/gaps\.svg/)]);
    expect((await drawn('gaps.svg', '--force')).status).toBe(0);
    const none = await shop.call('inspect', 'piece.yaml', '--picture', 'none.svg');
    expect([none.status, none.out]).toEqual([2, '']);
    expect(none.err).toMatch(/--picture of a job without gaps/);
    expect(shop.files()).not.toContain('none.svg');
  });

  it('teaches a profile, once for each piece, and keeps what contradicts it out', async () => {
    const shop = shopWith();
    const profile = (kerf: number) =>
      `axes: y-up\nkerf: ${kerf}\nkerf-sd: 0.02\nbeam-offset: [0, 0]\nbeam-offset-sd: 0.05\ncut-sd: 0.1\n`;
    const text = jobText('date: 2026-11-20', undefined, smallPiece)
      .replace('machine: {axes: y-up}', 'machine: bench.yaml')
      .replace(', kerf: 0.12', '')
      .replace('check: {cut-sd: 0.03, kerf-sd: 0.02}', '');
    shop.write('piece.yaml', text);
    shop.write('piece.png', await scanned());
    shop.write('bench.yaml', profile(0.12));
    const learn = (...more: string[]) =>
      shop.call('inspect', 'piece.yaml', 'piece.png', '--gamma', '1', '--learn', 'bench.yaml', ...more);
    const first = await learn();
    expect([first.status, first.err]).toEqual([0, '']);
    expect(first.out).toMatch(/Written into bench\.yaml \(2026-11-25\): kerf 0\.13/);
    const learned = shop.read('bench.yaml');
    expect(learned).toMatch(/inspected:\n {2}- piece\.yaml 2026-11-20 piece\.png/);
    expect(learned).toMatch(/replaced: 2026-11-25\n {4}kerf: 0\.12/);
    const again = await learn('--json');
    expect(again.status).toBe(2);
    const last = JSON.parse(again.out.trim().split('\n').at(-1)!);
    expect(last.learned).toMatchObject({ withheld: true, written: false });
    expect(shop.read('bench.yaml')).toBe(learned);
    shop.write('bench.yaml', profile(0.25));
    const other = await learn();
    expect(other.status).toBe(0);
    // As if the kerf had been 0.25: nothing contradicts, for the gap is what it is beside the kerf reckoned with.
    expect(other.out).toMatch(/kerf +0\.250 +0\.28\d/);
    shop.write('bench.yaml', profile(0.12).replace('kerf-sd: 0.02', 'kerf-sd: 0.002'));
    const contradicted = await learn();
    expect(contradicted.status).toBe(2);
    expect(contradicted.out).toMatch(/kerf .*CONTRADICTS, left/);
    expect(shop.read('bench.yaml')).toMatch(/^kerf: 0\.12$/m);
    const none = await shop.call('inspect', 'piece.yaml', '--learn', 'bench.yaml');
    expect([none.status, none.out]).toEqual([2, '']);
  });

  it('over several pieces holds the observed against the stated risk', async () => {
    const shop = shopWith();
    shop.write('piece.png', await scanned());
    shop.write('b.yaml', jobText('', undefined, smallPiece));
    const { status, out } = await shop.call(
      'inspect',
      'piece.yaml',
      'piece.png',
      'b.yaml',
      'piece.png',
      '--json',
    );
    expect(status).toBe(0);
    const lines = out
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(lines).toHaveLength(3);
    expect(lines[2].pieces.touched).toMatchObject({ of: 2, observed: 0 });
    expect(lines[2].pieces.share.limits[1]).toBeCloseTo(1 - 0.025 ** 0.5, 6);
    const text = await shop.call('inspect', 'piece.yaml', 'piece.png', 'b.yaml', 'piece.png');
    expect(text.out).toMatch(/2 pieces together\./);
  });

  it('counts y of the display downwards where the machine does', async () => {
    const shop = shopWith();
    const readings = /readings: \{(.*)\}/.exec(jobText('', undefined, smallPiece))![1]!;
    const down = readings.replace(/, (-?[\d.]+)\]/g, (_, y) => `, ${(100 - Number(y)).toFixed(4)}]`);
    const text = jobText('', undefined, smallPiece)
      .replace(readings, down)
      .replace('axes: y-up', 'axes: y-down');
    shop.write('down.yaml', text);
    shop.write('piece.png', await scanned());
    const of = async (job: string) =>
      JSON.parse((await shop.call('inspect', job, 'piece.png', '--json')).out).errors;
    const [up, turned] = [await of('piece.yaml'), await of('down.yaml')];
    expect(turned[1].value).toBeCloseTo(-up[1].value, 4);
    expect(turned[0].value).toBeCloseTo(up[0].value, 4);
    expect(turned[2].value).toBeCloseTo(up[2].value, 6);
  });

  it.each([
    ['a scan without its job', ['piece.png'], /before its job/],
    ['two scans of one job', ['piece.yaml', 'piece.png', 'other.png'], /behind another scan/],
    ['a scan that there is not', ['piece.yaml', 'none.png'], /none\.png/],
    ['a file that is no picture', ['piece.yaml', 'small.png'], /small\.png/],
    ['a gamma that is none', ['piece.yaml', '--gamma', 'sRGB'], /--gamma sRGB/],
  ])('refuses %s', async (_name, args, expected) => {
    const shop = shopWith();
    shop.write('piece.png', await scanned());
    shop.write('small.png', 'no picture');
    const { status, out, err } = await shop.call('inspect', ...args);
    expect([status, out]).toEqual([2, '']);
    expect(err).toMatch(expected);
  });
});
