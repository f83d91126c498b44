import { chmodSync, existsSync, linkSync, mkdirSync, statSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { columns, widthOf } from '../../src/report/text/layout.js';
import { readSvgBack } from '../drawing/read-back.js';
import { jobText, placed, workshop } from './workshop.js';

const inputs = ['job.yaml', 'panel.svg'];

describe('reseat cut --json', () => {
  it('prints the contract for one job on one line and writes the file it names', async () => {
    const shop = workshop();
    const { status, out, err } = await shop.call('cut', 'job.yaml', '--json', '-o', 'panel-cut.svg');
    expect(err).toBe('');
    expect(status).toBe(0);
    expect(out.split('\n')).toHaveLength(2);
    const cut = JSON.parse(out);
    expect(Object.keys(cut)).toEqual([
      'schemaVersion',
      'job',
      'output',
      'paths',
      'merged',
      'vanished',
      'thinLands',
      'tolerance',
      'verdict',
      'unproven',
      'risk',
      'neededClearance',
      'fit',
      'warnings',
    ]);
    expect(cut).toMatchObject({
      job: 'job.yaml',
      output: 'panel-cut.svg',
      merged: [],
      vanished: [],
      thinLands: [],
      tolerance: 0.005,
      fit: { job: 'job.yaml', model: 'rigid', unknowns: 3 },
    });
    // Four marks at the corners of a rectangle look the same after half a turn.
    expect(cut.warnings.map((w: { code: string }) => w.code)).toEqual(['ambiguous-pattern']);
    expect(cut.warnings).toEqual(cut.fit.warnings);
    expect(cut.paths).toHaveLength(2);
    const moon = cut.paths.find((p: { openings: string[] }) => p.openings.includes('moon'));
    // Radius 10, grown by the clearance of 0.5 and drawn in by half the kerf of 0.2.
    const [x, y] = placed(60, 50);
    expect(Object.keys(moon)).toEqual(['openings', 'length', 'area', 'box']);
    expect(moon.length).toBeCloseTo(2 * Math.PI * 10.4, 3);
    expect(moon.area).toBeCloseTo(Math.PI * 10.4 ** 2, 2);
    expect(moon.box).toEqual([x - 10.4, y - 10.4, x + 10.4, y + 10.4].map((v) => expect.closeTo(v, 3)));
    expect(shop.files()).toEqual([...inputs, 'panel-cut.svg'].sort());
  });

  it('says what merged, vanished and grew thin', async () => {
    const shop = workshop();
    shop.write(
      'panel.svg',
      shop
        .read('panel.svg')
        .replace(
          '<g id="openings">',
          '<g id="openings"><rect id="near" x="140.6" y="30" width="9" height="40"/><rect id="beside" x="151.6" y="30" width="9" height="40"/>',
        ),
    );
    const { out } = await shop.call('cut', 'job.yaml', '--json', '-o', 'a.svg');
    const cut = JSON.parse(out);
    expect(cut.merged.map((group: string[]) => [...group].sort())).toEqual([['near', 'window']]);
    const [gone, thin, ...others] = cut.thinLands;
    expect(others).toEqual([]);
    expect(Object.keys(thin)).toEqual(['between', 'width', 'at']);
    expect([...thin.between].sort()).toEqual(['beside', 'near']);
    // 2 mm drawn, less a clearance on each side; the beam takes its kerf inside the edges.
    expect(thin.width).toBeCloseTo(1, 3);
    // 0.6 mm drawn: nothing is left of it, and as much is missing as stands here.
    expect([...gone.between].sort()).toEqual(['near', 'window']);
    expect(gone.width).toBeCloseTo(-0.4, 3);
    shop.write('thin.yaml', jobText().replace('clearance: 0.5', 'clearance: 10.1, kind: inlay'));
    const inlay = JSON.parse((await shop.call('cut', 'thin.yaml', '--json', '-o', 'b.svg')).out);
    expect(inlay.vanished.sort()).toEqual(['beside', 'near', 'moon'].sort());
    expect(inlay.warnings.map((w: { code: string }) => w.code)).toContain('opening-vanished');
  });
});

describe('film in strips', () => {
  it('is told in the report and as JSON, and only where the job asks for it', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText({ more: 'film: {width: 120, overlap: 4, direction: y}' }));
    const { film } = JSON.parse((await shop.call('cut', 'job.yaml', '--json', '-o', 'a.svg')).out);
    expect(Object.keys(film)).toEqual(['direction', 'width', 'overlap', 'length', 'strips', 'seams']);
    expect(film).toMatchObject({ direction: 'y', width: 120, overlap: 4 });
    expect(film.length).toBeCloseTo(200, 3);
    // Between moon, which ends at 70.5, and window, which begins at 99.5.
    expect(film.seams).toHaveLength(1);
    expect(film.seams[0]).toMatchObject({
      crosses: [],
      from: expect.closeTo(83, 3),
      to: expect.closeTo(87, 3),
    });
    const [x, y] = placed(film.seams[0].from, 0);
    expect(film.seams[0].corners[0]).toEqual([expect.closeTo(x, 3), expect.closeTo(y, 3)]);
    const { out } = await shop.call('cut', 'job.yaml', '-o', 'b.svg');
    expect(out).toContain('Film: 2 strips of 120 mm along y of the drawing, overlap 4 mm, 0.20 m in all;');
    expect(out.split('\n').every((line) => widthOf(line) <= columns)).toBe(true);
  });
});

describe('the picture', () => {
  it('of the part on its bed is written beside the cut file, both or neither', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText({ more: 'film: {width: 120, overlap: 4, direction: y}' }));
    const { status } = await shop.call('cut', 'job.yaml', '-o', 'a.svg', '--picture', 'a-picture.svg');
    expect(status).toBe(0);
    expect(shop.read('a-picture.svg')).toContain('2 strips of film, F1 to F2');
    await shop.call('cut', 'job.yaml', '-o', 'b.svg', '--picture', 'b.png');
    expect(shop.read('b.png').slice(1, 4)).toBe('PNG');
    const again = await shop.call('cut', 'job.yaml', '-o', 'c.svg', '--picture', 'b.png');
    expect(again.status).toBe(2);
    expect(again.err).toContain('b.png');
    expect(shop.files()).not.toContain('c.svg');
  });

  it('is refused in other formats, for several jobs, and in the place of the cut file', async () => {
    const shop = workshop();
    shop.write('other.yaml', jobText());
    const calls = [
      ['job.yaml', '-o', 'a.svg', '--picture', 'a.gif'],
      ['job.yaml', 'other.yaml', '-o', '.', '--picture', 'a.png'],
      ['job.yaml', '-o', 'a.svg', '--picture', 'a.svg'],
    ];
    for (const call of calls) expect((await shop.call('cut', ...call)).status).toBe(2);
    expect(shop.files()).toEqual(['job.yaml', 'other.yaml', 'panel.svg']);
  });
});

describe('the cut file', () => {
  it('carries display coordinates on a page of the bed', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText({ more: 'machine: {size: [1200, 900]}' }));
    await shop.call('cut', 'job.yaml', '-o', 'a.svg');
    const page = readSvgBack(shop.read('a.svg'));
    expect([page.width, page.height]).toEqual([1200, 900]);
    const moon = page.paths.find((p) => p.id === 'moon')!;
    expect(moon.segments.length).toBeLessThanOrEqual(4);
    const [x, y] = placed(60, 50);
    for (const segment of moon.segments) {
      expect(segment).toMatchObject({
        kind: 'arc',
        centre: { x: expect.closeTo(x, 3), y: expect.closeTo(900 - y, 3) },
        radius: expect.closeTo(10.4, 3),
      });
    }
    expect(page.paths.find((p) => p.id === 'window')!.segments.map((s) => s.kind)).toEqual(
      Array(4).fill('line'),
    );
  });

  it('is the same on the material for a display that counts downwards', async () => {
    const shop = workshop();
    const down = (x: number, y: number): [number, number] => {
      const [px, py] = placed(x, y);
      return [px, 400 - py];
    };
    shop.write('down.yaml', jobText({ place: down, more: 'machine: {axes: y-down, size: [600, 400]}' }));
    shop.write('up.yaml', jobText({ more: 'machine: {size: [600, 400]}' }));
    await shop.call('cut', 'up.yaml', '-o', 'up.svg');
    await shop.call('cut', 'down.yaml', '-o', 'down.svg');
    // The bed's corner is bottom left on one page and top left on the other, and both pages are 400 mm high.
    const [up, under] = [readSvgBack(shop.read('up.svg')), readSvgBack(shop.read('down.svg'))];
    for (const path of up.paths) {
      const twin = under.paths.find((p) => p.id === path.id)!;
      const centres = (p: typeof path) =>
        p.segments.map((s) => (s.kind === 'arc' ? s.centre : s.from)).sort((a, b) => a.x - b.x || a.y - b.y);
      centres(path).forEach((c, i) => {
        expect(centres(twin)[i]!.x).toBeCloseTo(c.x, 4);
        expect(centres(twin)[i]!.y).toBeCloseTo(c.y, 4);
      });
    }
  });

  it('takes the beam offset off and undoes the bed map', async () => {
    const shop = workshop();
    const more = 'machine: {beam-offset: [0.5, -0.25], bed-map: {scale: [1.001, 0.999]}}';
    const shown = (x: number, y: number): [number, number] => {
      const [px, py] = placed(x, y);
      return [px / 1.001, py / 0.999];
    };
    shop.write('job.yaml', jobText({ place: shown, more }));
    const { out } = await shop.call('cut', 'job.yaml', '--json', '-o', 'a.svg');
    const moon = JSON.parse(out).paths.find((p: { openings: string[] }) => p.openings.includes('moon'));
    const [x, y] = placed(60, 50);
    const expected = [
      (x - 10.4) / 1.001 - 0.5,
      (y - 10.4) / 0.999 + 0.25,
      (x + 10.4) / 1.001 - 0.5,
      (y + 10.4) / 0.999 + 0.25,
    ];
    expect(moon.box).toEqual(expected.map((v) => expect.closeTo(v, 2)));
  });

  it('is DXF where its name says so', async () => {
    const shop = workshop();
    expect((await shop.call('cut', 'job.yaml', '-o', 'a.DXF')).status).toBe(0);
    expect(shop.read('a.DXF')).toContain('LWPOLYLINE');
  });

  it('is the same whenever it is made', async () => {
    const shop = workshop();
    await shop.call('cut', 'job.yaml', '-o', 'a.dxf');
    await shop.call('cut', 'job.yaml', '-o', 'b.dxf');
    expect(shop.read('a.dxf')).toBe(shop.read('b.dxf'));
  });
});

describe('reseat cut', () => {
  it('tells a person what was cut and what to beware of, in 80 columns', async () => {
    const { status, out } = await workshop().call('cut', 'job.yaml', '-o', 'panel-cut.svg');
    expect(status).toBe(0);
    expect(out).toContain('panel-cut.svg: 2 paths for 2 openings');
    expect(out).toContain('beam off');
    expect(out).toContain('PVC');
    expect(out).not.toContain('\u001b');
    for (const line of out.split('\n')) expect(widthOf(line)).toBeLessThanOrEqual(columns);
  });

  it.each([
    ['a.nce', 'a cut file ending in .nce'],
    ['a.pdf', 'a cut file ending in .pdf'],
    ['a', 'a cut file name without an extension'],
    ['.', 'a folder'],
    ['nowhere/a.svg', 'a cut file in a folder that does not exist'],
    ['panel.svg', 'the result in place of panel.svg, which the job reads'],
    ['./panel.svg', 'the result in place of panel.svg, which the job reads'],
  ])('refuses -o %s, even with --force', async (output, found) => {
    const shop = workshop();
    const before = shop.read('panel.svg');
    const { status, out, err } = await shop.call('cut', 'job.yaml', '--force', '-o', output);
    expect(status).toBe(2);
    expect(out).toBe('');
    expect(err).toContain(`  found:    ${found}\n`);
    expect(shop.files()).toEqual(inputs);
    expect(shop.read('panel.svg')).toBe(before);
  });

  it('knows its own drawing under another name', async () => {
    const shop = workshop();
    linkSync(join(shop.folder, 'panel.svg'), join(shop.folder, 'twin.svg'));
    symlinkSync('panel.svg', join(shop.folder, 'link.svg'));
    for (const output of ['twin.svg', 'link.svg']) {
      const { status, err } = await shop.call('cut', 'job.yaml', '--force', '-o', output);
      expect(status).toBe(2);
      expect(err).toContain('which the job reads');
    }
  });

  it('overwrites a file only with --force, and keeps its permissions', async () => {
    const shop = workshop();
    shop.write('a.svg', 'precious');
    chmodSync(join(shop.folder, 'a.svg'), 0o640);
    const refused = await shop.call('cut', 'job.yaml', '-o', 'a.svg');
    expect(refused.status).toBe(2);
    expect(refused.err).toContain('  found:    a file that exists already\n');
    expect(refused.err).toContain('--force');
    expect(shop.read('a.svg')).toBe('precious');
    expect((await shop.call('cut', 'job.yaml', '--force', '-o', 'a.svg')).status).toBe(0);
    expect(shop.read('a.svg')).toContain('<svg');
    expect(statSync(join(shop.folder, 'a.svg')).mode & 0o777).toBe(0o640);
    expect(shop.files()).toEqual(['a.svg', ...inputs]);
  });

  it('writes through a link to the file it leads to, and not through one that leads nowhere', async () => {
    const shop = workshop();
    shop.write('real.svg', 'old');
    symlinkSync('real.svg', join(shop.folder, 'link.svg'));
    symlinkSync('gone.svg', join(shop.folder, 'dangling.svg'));
    expect((await shop.call('cut', 'job.yaml', '--force', '-o', 'link.svg')).status).toBe(0);
    expect(shop.read('real.svg')).toContain('<svg');
    const dangling = await shop.call('cut', 'job.yaml', '--force', '-o', 'dangling.svg');
    expect(dangling.status).toBe(2);
    expect(dangling.err).toContain('a link that leads nowhere');
    expect(existsSync(join(shop.folder, 'gone.svg'))).toBe(false);
  });

  it('refuses paths off a bed of known size and writes nothing', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText({ more: 'machine: {size: [400, 900]}' }));
    const { status, err } = await shop.call('cut', 'job.yaml', '-o', 'a.svg');
    expect(status).toBe(2);
    expect(err).toContain('1 of 2 paths off the bed, window by');
    expect(shop.files()).toEqual(inputs);
  });

  it('warns of negative coordinates where the size is unknown', async () => {
    const shop = workshop();
    const left = (x: number, y: number): [number, number] => [x - 70, y + 5];
    shop.write('job.yaml', jobText({ place: left }));
    const { status, out } = await shop.call('cut', 'job.yaml', '--json', '-o', 'a.svg');
    expect(status).toBe(0);
    expect(JSON.parse(out).warnings.map((w: { code: string }) => w.code)).toContain('outside-bed');
    expect(readSvgBack(shop.read('a.svg')).viewBox[0]).toBeCloseTo(60 - 70 - 10.4, 2);
  });

  it('refuses a job of which nothing is left', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText().replace('clearance: 0.5', 'clearance: 50, kind: inlay'));
    const { status, err } = await shop.call('cut', 'job.yaml', '-o', 'a.svg');
    expect(status).toBe(2);
    expect(err).toContain('reseat: job.yaml:9:');
    expect(err).toContain('no path to cut: nothing is left of any of the 2 openings');
    expect(shop.files()).toEqual(inputs);
  });

  it('places the paths as the cutter can: only shifted where it cannot turn', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText().replace('kerf: 0.2', 'kerf: 0.2, apply: shift'));
    const { out } = await shop.call('cut', 'job.yaml', '--json', '-o', 'a.svg');
    const window = JSON.parse(out).paths.find((p: { openings: string[] }) => p.openings.includes('window'));
    const [x0, y0, x1, y1] = window.box;
    expect([x1 - x0, y1 - y0]).toEqual([expect.closeTo(40.8, 3), expect.closeTo(40.8, 3)]);
  });

  it('ends with status 3 and writes nothing where the fit has no solution', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText().replace(/^ {2}[BCD]:.*\n/gm, ''));
    const { status, out, err } = await shop.call('cut', 'job.yaml', '-o', 'a.svg');
    expect([status, out]).toEqual([3, '']);
    expect(err).toContain('the fit has no solution');
    expect(shop.files()).toEqual(inputs);
  });
});

describe('several jobs in one call', () => {
  it('are cut into the folder that -o names, one file each, named after the job', async () => {
    const shop = workshop();
    mkdirSync(join(shop.folder, 'out'));
    shop.write('second.yml', jobText());
    const { status, out } = await shop.call('cut', 'job.yaml', 'second.yml', '--json', '-o', 'out');
    expect(status).toBe(0);
    const lines = out
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(lines.map((line) => [line.job, line.output])).toEqual([
      ['job.yaml', 'out/job.svg'],
      ['second.yml', 'out/second.svg'],
    ]);
    const forced = await shop.call('cut', 'job.yaml', 'second.yml', '--format', 'dxf', '-o', 'out/');
    expect(forced.status).toBe(0);
    expect(forced.out.match(/Before the beam is on/g)).toHaveLength(1);
    expect(shop.files()).toEqual([
      'job.yaml',
      'out/job.dxf',
      'out/job.svg',
      'out/second.dxf',
      'out/second.svg',
      'panel.svg',
      'second.yml',
    ]);
  });

  it('are all left uncut when one of them is wrong', async () => {
    const shop = workshop();
    mkdirSync(join(shop.folder, 'out'));
    shop.write('broken.yaml', jobText().replace('clearance: 0.5', 'clearance: -1'));
    const { status, out, err } = await shop.call('cut', 'job.yaml', 'broken.yaml', '-o', 'out');
    expect([status, out]).toEqual([2, '']);
    expect(err).toContain('broken.yaml:9:');
    expect(err).toContain('reseat: nothing was written, for none of the jobs.\n');
    expect(shop.files()).toEqual(['broken.yaml', ...inputs]);
  });

  it.each([
    [
      ['job.yaml', 'b/job.yaml', '-o', 'out'],
      'job.yaml and b/job.yaml, both of which would be written there',
    ],
    [['job.yaml', 'job.yaml', '-o', 'out'], 'the job job.yaml twice'],
    [['job.yaml', 'b/job.yaml', '-o', 'out.svg'], 'no folder of that name'],
    [['job.yaml', 'b/job.yaml', '-o', 'out', '--format', 'pdf'], '--format pdf'],
    [['job.yaml', '-o', 'a.svg', '--format', 'svg'], '--format with one job'],
  ])('are refused as %j', async (argv, found) => {
    const shop = workshop();
    mkdirSync(join(shop.folder, 'out'));
    shop.write('b/job.yaml', jobText({ drawing: '../panel.svg' }));
    const { status, err } = await shop.call('cut', ...argv);
    expect(status).toBe(2);
    expect(err).toContain(`  found:    ${found}\n`);
    expect(shop.files()).toEqual(['b/job.yaml', ...inputs]);
  });
});
