import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { circleLoop, polygonLoop, rendered, slotLoop } from '../scan/rendered.js';
import { workshop } from './workshop.js';

const density = 600 / 25.4;
let made: Promise<Buffer> | undefined;
/** Made once for all tests here. */
const scanned = (): Promise<Buffer> => {
  made ??= makeScan();
  return made;
};

const makeScan = async (): Promise<Buffer> => {
  const loops = [circleLoop(6, 6, 3), slotLoop(13, 5, 19, 5, 1.5), polygonLoop([4, 11], [20, 11], [12, 15])];
  const { width, height, levels } = rendered(loops, { width: 24, height: 18, density });
  return sharp(levels as Uint8Array, { raw: { width, height, channels: 1 } })
    .withMetadata({ density: 600 })
    .png()
    .toBuffer();
};

describe('reseat scan', () => {
  it('goes from the scan to a drawing that list, check and cut take', async () => {
    const shop = workshop();
    shop.write('scan.png', await scanned());
    const { status, out, err } = await shop.call('scan', 'scan.png', '-o', 'openings.svg');
    expect([status, err]).toEqual([0, '']);
    expect(out).toMatch(/3 openings; openings are dark \(decided/);
    expect(out).toMatch(/Next: Written to openings.svg/);
    const listed = JSON.parse((await shop.call('list', '--json', 'openings.svg')).out);
    expect(listed.shapes.map((s: { kind: string; role: string }) => [s.kind, s.role])).toEqual([
      ['path', 'opening'],
      ['circle', 'opening'],
      ['path', 'opening'],
    ]);
    shop.write(
      'job.yaml',
      'drawing: openings.svg\nmarks: {A: [1, 1], B: [23, 1], C: [23, 17], D: [1, 17]}\nreadings: {A: [101, 101], B: [123.02, 101], C: [123, 117.03], D: [101, 117]}\nfit: {reading-sd: 0.03, mark-sd: 0.02}\ncut: {clearance: 0.5, kerf: 0.1}\ncheck: {cut-sd: 0.02, kerf-sd: 0.01}\n',
    );
    const checked = JSON.parse((await shop.call('check', '--json', 'job.yaml')).out);
    expect(checked.edgeSd).toBeGreaterThan(0);
    expect(checked.edgeSd).toBeLessThan(0.003);
    expect((await shop.call('check', 'job.yaml')).out).toMatch(/edges of the\s+drawing count as known/);
    expect((await shop.call('cut', 'job.yaml', '-o', 'film.svg')).status).toBe(0);
  });

  it('writes the same as DXF, with what the edges are known by', async () => {
    const shop = workshop();
    shop.write('scan.png', await scanned());
    await shop.call('scan', 'scan.png', '-o', 'openings.dxf');
    expect(shop.read('openings.dxf')).toMatch(/999\nedge-sd: 0\.00\d\d mm/);
    const listed = JSON.parse((await shop.call('list', '--json', 'openings.dxf')).out);
    expect(listed.shapes.map((s: { kind: string }) => s.kind).sort()).toEqual([
      'circle',
      'lwpolyline',
      'lwpolyline',
    ]);
    shop.write(
      'job.yaml',
      'drawing: openings.dxf\nmarks: {A: [1, 1], B: [23, 1]}\nreadings: {A: [1, 1], B: [23, 1]}\nfit: {reading-sd: 0.03}\n',
    );
    expect(JSON.parse((await shop.call('check', '--json', 'job.yaml')).out).edgeSd).toBeGreaterThan(0);
  });

  it('what the edges are known by asks for more clearance, and a word in the job goes before the drawing', async () => {
    const shop = workshop();
    shop.write('scan.png', await scanned());
    await shop.call('scan', 'scan.png', '-o', 'openings.svg');
    const needed = async (edgeSd: string): Promise<number> => {
      shop.write(
        'job.yaml',
        `drawing: openings.svg\nmarks: {A: [1, 1], B: [23, 1], C: [23, 17]}\nreadings: {A: [1, 1], B: [23, 1], C: [23, 17]}\nfit: {reading-sd: 0.02}\ncut: {clearance: 0.5, kerf: 0.1}\ncheck: {cut-sd: 0.01, kerf-sd: 0.01${edgeSd}}\n`,
      );
      return JSON.parse((await shop.call('check', '--json', 'job.yaml')).out).neededClearance;
    };
    const [drawn, none, rough] = [
      await needed(''),
      await needed(', edge-sd: 0'),
      await needed(', edge-sd: 0.05'),
    ];
    expect(drawn).toBeGreaterThanOrEqual(none);
    expect(drawn).toBeLessThan(none + 0.005);
    // Twelve sides: the worst of them is 2.6 sds off in one of 20 jobs (0.95^(1/12), from a table of the normal distribution).
    expect(rough).toBeGreaterThan(0.05 * 2.5);
    expect(rough).toBeLessThan(none + 0.05 * 2.8);
  });

  it('prints the contract as JSON', async () => {
    const shop = workshop();
    shop.write('scan.png', await scanned());
    const { out } = await shop.call('scan', 'scan.png', '--json');
    const scan = JSON.parse(out);
    expect(Object.keys(scan)).toEqual([
      'schemaVersion',
      'picture',
      'output',
      'pixels',
      'density',
      'size',
      'openings',
      'openingsAssumed',
      'edges',
      'edgeSd',
      'blur',
      'pointSd',
      'known',
      'dropped',
      'warnings',
    ]);
    expect(scan.output).toBeNull();
    expect(scan.edges[0]).toMatchObject({ id: 'opening-1', role: 'opening', lines: 3, arcs: 0 });
    expect(
      Math.abs(scan.edges.find((e: { diameter: number | null }) => e.diameter).diameter - 6),
    ).toBeLessThan(0.01);
  });

  it('draws what it found', async () => {
    const shop = workshop();
    shop.write('scan.png', await scanned());
    expect((await shop.call('scan', 'scan.png', '--picture', 'found.svg')).status).toBe(0);
    const picture = shop.read('found.svg');
    expect(picture).toMatch(/opening-3/);
    expect(picture).toMatch(/R 1\.50/);
    expect((await shop.call('scan', 'scan.png', '--picture', 'found.png')).status).toBe(0);
  });

  it.each([
    [['scan', 'none.png', '-o', 'a.svg'], /no such file/],
    [['scan', 'panel.svg', '-o', 'a.svg'], /a drawing \(SVG\)/],
    [['scan', 'scan.png', '-o', 'a.pdf'], /\.pdf/],
    [['scan', 'scan.png', '-o', 'a.svg', '--dpi', '6'], /--dpi 6/],
    [['scan', 'scan.png', '-o', 'a.svg', '--openings', 'drak'], /Did you mean dark\?/],
    [['scan', 'scan.png', '-o', 'a.svg', '--smallest', 'x'], /--smallest x/],
    [['scan', 'scan.png', '-o', 'scan.png'], /scan\.png/],
    [['scan', 'scan.png', '-o', 'a.svg', '--picture', 'a.svg'], /a\.svg/],
  ])('%s is refused and nothing is written', async (argv, message) => {
    const shop = workshop();
    shop.write('scan.png', await scanned());
    const before = shop.files();
    const { status, err } = await shop.call(...argv);
    expect(status).toBe(2);
    expect(err).toMatch(message);
    expect(shop.files()).toEqual(before);
  });
});
