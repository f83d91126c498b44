import { readFileSync } from 'node:fs';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { run } from '../../src/cli/main.js';
import { readDrawing } from '../../src/drawing/read.js';
import { pathBox } from '../../src/geometry/curve.js';
import { readProfileText } from '../../src/job/read/read-machine.js';
import { jobText, panel, workshop } from './workshop.js';

const calibration = (path: string) =>
  readFileSync(new URL(`../../calibration/${path}`, import.meta.url), 'utf8');

const bedCsv = `from,to,from-x,from-y,to-x,to-y,length,sd
A,B,0,0,400,0,400.02,0.05
B,C,400,0,400,300,299.97,0.05
C,D,400,300,0,300,399.98,0.05
D,A,0,300,0,0,300.03,0.05
A,C,0,0,400,300,499.76,0.05
B,D,400,0,0,300,500.24,0.05
`;
const kerfCsv = 'kind,count,drawn,measured,hole,piece,sd\nstrips,20,10,196,,,0.05\npair,,,,40.21,39.8,0.02\n';
const beamCsv = `dot,x,y,read-x,read-y
P1,90,120,90.11,119.70
P2,510,120,510.15,119.66
P3,510,280,510.09,279.72
P4,90,280,90.13,279.68
`;
const pointerCsv = `mark,direction,x,y
A,up,25.10,24.70
A,up,25.16,24.77
A,up,25.12,24.68
A,down,25.05,24.74
A,down,25.11,24.66
A,down,25.07,24.71
B,up,575.11,24.73
B,up,575.19,24.65
B,down,575.07,24.70
B,down,575.04,24.79
`;
const files = { pointer: pointerCsv, bed: bedCsv, kerf: kerfCsv, beam: beamCsv } as const;
const parts = Object.keys(files) as (keyof typeof files)[];

const shopWithData = () => {
  const shop = workshop();
  for (const part of parts) shop.write(`${part}.csv`, files[part]);
  return shop;
};

describe('calibrate', () => {
  it.each(parts)(
    '%s tells what it found in 80 columns, and writes nothing unless a profile is named',
    async (part) => {
      const shop = shopWithData();
      const before = shop.files();
      const { status, out, err } = await shop.call('calibrate', part, `${part}.csv`);
      expect(err).toBe('');
      expect(status).toBe(0);
      expect(out).toContain('For the profile of the machine (nothing was written):');
      for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
      expect(shop.files()).toEqual(before);
    },
  );

  it.each(parts)('%s prints one JSON object with --json', async (part) => {
    const shop = shopWithData();
    const { status, out } = await shop.call('calibrate', part, `${part}.csv`, '--json');
    expect(status).toBe(0);
    expect(out.trimEnd().split('\n')).toHaveLength(1);
    const told = JSON.parse(out);
    expect(told).toMatchObject({
      calibration: part,
      data: `${part}.csv`,
      blank: 0,
      withheld: false,
      profile: null,
    });
    expect(Object.keys(told.proposed).length).toBeGreaterThan(0);
    expect(JSON.stringify(told)).not.toMatch(/NaN|Infinity/);
  });

  it('writes all parts into one profile, each with the date of the call, and a job reads it', async () => {
    const shop = shopWithData();
    shop.write('bench.yaml', '# my bed\naxes: y-up\nkerf: 0.3 # plywood, 4 mm\n');
    for (const part of parts) {
      const { status, out } = await shop.call('calibrate', part, `${part}.csv`, '--profile', 'bench.yaml');
      expect(status).toBe(0);
      expect(out).toContain('Written: bench.yaml, measured 2026-11-25');
    }
    const machine = readProfileText('bench.yaml', shop.read('bench.yaml'));
    expect(machine.measuredParts).toEqual(Object.fromEntries(parts.map((part) => [part, '2026-11-25'])));
    expect(machine.bedMap.skew).toBeCloseTo(0.001, 3);
    expect(machine.kerf).toBeCloseTo(0.2, 2);
    expect(machine.beamOffset).toEqual({ x: 0.12, y: -0.31 });
    expect(machine.readingSd).toBeGreaterThan(0.02);
    expect(shop.read('bench.yaml')).toContain('# plywood, 4 mm');
    expect(shop.read('bench.yaml')).toContain('    kerf: 0.3\n');
    shop.write('job.yaml', jobText({ more: 'machine: bench.yaml' }));
    expect((await shop.call('fit', 'job.yaml')).status).toBe(0);
  });

  it('makes a profile that does not exist yet, and takes the date that is given', async () => {
    const shop = shopWithData();
    const { out } = await shop.call(
      'calibrate',
      'beam',
      'beam.csv',
      '--profile',
      'new.yaml',
      '--date',
      '2026-10-01',
    );
    expect(out).toContain('A new profile: new.yaml, measured 2026-10-01');
    expect(shop.read('new.yaml')).toContain('measured: {beam: 2026-10-01}');
    const told = JSON.parse(
      (await shop.call('calibrate', 'beam', 'beam.csv', '--profile', 'new.yaml', '--json')).out,
    );
    expect(told.profile).toEqual({
      path: 'new.yaml',
      date: '2026-11-25',
      new: false,
      replaced: { 'beam-offset': [0.12, -0.31], 'beam-offset-sd': 0.0161 },
    });
  });

  it('reads the same measurements from YAML', async () => {
    const shop = shopWithData();
    shop.write(
      'kerf.yaml',
      'measurements:\n  - {kind: strips, count: 20, drawn: 10, measured: 196, sd: 0.05}\n  - {kind: pair, hole: 40.21, piece: 39.8, sd: 0.02}\n',
    );
    const table = JSON.parse((await shop.call('calibrate', 'kerf', 'kerf.csv', '--json')).out);
    const yaml = JSON.parse((await shop.call('calibrate', 'kerf', 'kerf.yaml', '--json')).out);
    expect(yaml.found).toEqual(table.found);
  });

  it('does not write figures that are in doubt, unless it is forced to', async () => {
    const shop = shopWithData();
    shop.write('bench.yaml', 'axes: y-up\n');
    shop.write('bed.csv', bedCsv.replace('299.97', '303.97'));
    const { status, out } = await shop.call('calibrate', 'bed', 'bed.csv', '--profile', 'bench.yaml');
    expect(status).toBe(2);
    expect(out).toContain('B to C was measured as 303.97 mm');
    expect(out).toContain('NOT written');
    expect(shop.read('bench.yaml')).toBe('axes: y-up\n');
    const forced = await shop.call('calibrate', 'bed', 'bed.csv', '--profile', 'bench.yaml', '--force');
    expect(forced.status).toBe(0);
    expect(shop.read('bench.yaml')).toContain('bed-map:');
  });

  it('tells a machine that is no longer what its profile said', async () => {
    const shop = shopWithData();
    shop.write('bench.yaml', 'bed-map: {scale: [1.004, 1], skew-mrad: 1}\n');
    const { out } = await shop.call('calibrate', 'bed', 'bed.csv', '--profile', 'bench.yaml');
    expect(out.replace(/\s+/g, ' ')).toContain(
      'drifted: The machine is not what the profile said: scale of x was 1.00400, now 1.00000',
    );
    expect(out).not.toContain('skew was');
  });

  it('turns the lengths of a display that counts y downwards as everything else on it', async () => {
    const shop = shopWithData();
    shop.write('down.yaml', 'axes: y-down\n');
    const up = JSON.parse((await shop.call('calibrate', 'bed', 'bed.csv', '--json')).out);
    const down = JSON.parse(
      (await shop.call('calibrate', 'bed', 'bed.csv', '--profile', 'down.yaml', '--json')).out,
    );
    expect(down.found.skew.value).toBeCloseTo(-up.found.skew.value, 12);
    expect(down.found.scale.y.value).toBeCloseTo(up.found.scale.y.value, 12);
  });

  it('ends with status 3 where the lengths do not determine the map', async () => {
    const shop = shopWithData();
    shop.write('bench.yaml', 'axes: y-up\n');
    shop.write('bed.csv', bedCsv.split('\n').slice(0, 5).join('\n'));
    const { status, out, err } = await shop.call('calibrate', 'bed', 'bed.csv', '--profile', 'bench.yaml');
    expect(status).toBe(3);
    expect(out).toBe('');
    expect(err).toContain('How far the axes are from square does not show');
    expect(shop.read('bench.yaml')).toBe('axes: y-up\n');
  });

  it.each([
    ['a kerf below zero', 'kerf', kerfCsv.replace('196', '206'), 'a kerf of -0.300 mm'],
    ['a triangle that does not close', 'bed', bedCsv.replace('499.76', '799.76'), 'is longer by'],
    ['a letter for a digit', 'beam', beamCsv.replace('90.11', '9O.11'), 'read-x is "9O.11"'],
    ['no repeated reading', 'pointer', 'mark,x,y\nA,1,2\n', 'no mark read twice'],
  ])('leaves the profile untouched for %s', async (_what, part, text, found) => {
    const shop = shopWithData();
    shop.write('bench.yaml', '# mine\nkerf: 0.3\n');
    shop.write('data.csv', text);
    const { status, out, err } = await shop.call('calibrate', part, 'data.csv', '--profile', 'bench.yaml');
    expect(status).toBe(2);
    expect(out).toBe('');
    expect(err).toContain(found);
    expect(err.trimEnd().split('\n')).toHaveLength(4);
    expect(shop.read('bench.yaml')).toBe('# mine\nkerf: 0.3\n');
  });

  it('leaves a profile untouched that a newer version wrote', async () => {
    const shop = shopWithData();
    shop.write('bench.yaml', 'format: 7\nlens: 2\n');
    const { status, err } = await shop.call('calibrate', 'kerf', 'kerf.csv', '--profile', 'bench.yaml');
    expect(status).toBe(2);
    expect(err).toContain('format 7: the profile was written by a newer version');
    expect(shop.read('bench.yaml')).toBe('format: 7\nlens: 2\n');
  });

  it.each([
    [['kerf', 'kerf.csv', '--profile', 'p.yaml', '--date', '25.11.2026'], '--date 25.11.2026'],
    [['kerf', 'kerf.csv', '--sd', '0'], '--sd 0'],
    [['kerf', 'kerf.csv', '--sd', '0.1mm'], '--sd 0.1mm'],
    [['kerf', 'kerf.csv', '--profile', 'kerf.csv'], 'the result in place of kerf.csv, which this call reads'],
    [['kerf', 'kerf.csv', '--profile', 'no/p.yaml'], 'a machine profile in a folder that does not exist'],
    [['kerf', 'none.csv'], 'no such file'],
    [['kerf', 'kerf.csv', 'beam.csv'], 'too many arguments'],
    [['beam', 'beam.csv', '--sd', '1'], 'the unknown option --sd'],
    [['kref', 'kerf.csv'], 'the unknown command "kref"'],
    [[], 'nothing after "calibrate"'],
    [['kerf'], 'no data after "calibrate kerf"'],
    [['drift'], 'no job after "calibrate drift"'],
    [['sheet'], 'no place for the sheet'],
    [['sheet', '-o', 'sheet.nc'], '-o sheet.nc'],
    [['sheet', '-o', 's.svg', '--size', '200,200'], 'an area of 200 x 200 mm'],
    [['sheet', '-o', 's.svg', '--size', '600'], '--size 600'],
  ])('is refused as %j', async (argv, found) => {
    const shop = shopWithData();
    const before = shop.files();
    const { status, out, err } = await shop.call('calibrate', ...argv);
    expect(status).toBe(2);
    expect(out).toBe('');
    expect(err).toContain(found);
    expect(err.trimEnd().split('\n')).toHaveLength(4);
    expect(shop.files()).toEqual(before);
  });

  it('needs to be told the day where there is no clock', async () => {
    const shop = shopWithData();
    let err = '';
    const status = await run(['calibrate', 'kerf', 'kerf.csv', '--profile', 'p.yaml'], {
      cwd: shop.folder,
      stdout: { write: () => {}, isTTY: false },
      stderr: { write: (text) => (err += text), isTTY: false },
    });
    expect(status).toBe(2);
    expect(err).toContain('no date');
  });

  it.each(['', 'pointer', 'bed', 'kerf', 'beam', 'sheet', 'drift'])(
    '%s --help fits 80 columns',
    async (command) => {
      const argv = ['calibrate', command, '--help'].filter((word) => word !== '');
      const { status, out } = await workshop().call(...argv);
      expect(status).toBe(0);
      for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    },
  );
});

describe('calibrate sheet', () => {
  it('writes the drawing and its forms, all or none', async () => {
    const shop = workshop();
    shop.write('s-kerf.csv', 'mine');
    const refused = await shop.call('calibrate', 'sheet', '-o', 's.svg');
    expect(refused.status).toBe(2);
    expect(shop.files()).toEqual(['job.yaml', 'panel.svg', 's-kerf.csv']);
    const { status, out } = await shop.call('calibrate', 'sheet', '-o', 's.svg', '--force');
    expect(status).toBe(0);
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    expect(out).toContain('Never laser-cut PVC');
    expect(shop.files()).toEqual([
      'job.yaml',
      'panel.svg',
      's-beam.csv',
      's-bed.csv',
      's-form.svg',
      's-kerf.csv',
      's-pointer.csv',
      's.svg',
    ]);
  });

  it('takes size and axes from a profile: what is drawn lies where the forms say, in display coordinates', async () => {
    const shop = workshop();
    shop.write('down.yaml', 'axes: y-down\nsize: [900, 600]\n');
    await shop.call('calibrate', 'sheet', '-o', 's.svg', '--profile', 'down.yaml');
    const drawing = readDrawing(Buffer.from(shop.read('s.svg')), { path: 's.svg' });
    // The reader turns a page y up; this page begins at the top like the display.
    expect(drawing.leftOut).toEqual([]);
    const [, , x, y] = shop
      .read('s-beam.csv')
      .match(/^(P1),(\d+),(\d+),/m)!
      .map(Number);
    const dot = drawing.shapes.find((shape) => shape.id === 'P1')!;
    const box = pathBox(dot.paths[0]!);
    expect((box.minX + box.maxX) / 2).toBeCloseTo(x!, 6);
    expect(600 - (box.minY + box.maxY) / 2).toBeCloseTo(y!, 6);
  });

  it('can be drawn by another program, the drawing and the form', async () => {
    const shop = workshop();
    await shop.call('calibrate', 'sheet', '-o', 's.svg', '--size', '300,250');
    const ink = async (name: string): Promise<number> => {
      const { data } = await sharp(Buffer.from(shop.read(name)))
        .flatten({ background: '#ffffff' })
        .greyscale()
        .raw()
        .toBuffer({ resolveWithObject: true });
      return data.filter((value) => value < 200).length;
    };
    expect(await ink('s.svg')).toBeGreaterThan(500);
    expect(await ink('s-form.svg')).toBeGreaterThan(10_000);
  });

  it.each(parts)('has a form for %s that is read as it is, once it is filled in', async (part) => {
    const shop = workshop();
    await shop.call('calibrate', 'sheet', '-o', 's.svg');
    const blank = await shop.call('calibrate', part, `s-${part}.csv`);
    expect(blank.status).toBe(2);
    expect(blank.err).toContain('a form in which nothing is filled in');
  });

  it('in calibration/sheets is what the command writes today', async () => {
    const shop = workshop();
    await shop.call('calibrate', 'sheet', '-o', 'sheet-600x400.svg');
    for (const name of shop.files().filter((file) => file.startsWith('sheet-'))) {
      expect(shop.read(name)).toBe(calibration(`sheets/${name}`));
    }
  });
});

describe('The worked example of a machine', () => {
  it('has a profile that its filled-in forms lead to, and is marked as invented', async () => {
    const shop = workshop();
    const profile = calibration('example-machine/profile.yaml');
    const start = profile.split('\n').filter((line) => /^(#|name|size|axes|$)/.test(line));
    shop.write('profile.yaml', start.join('\n'));
    for (const part of parts) {
      const form = calibration(`example-machine/${part}.csv`);
      expect(form).toContain('INVENTED');
      shop.write(`${part}.csv`, form);
      const { status } = await shop.call('calibrate', part, `${part}.csv`, '--profile', 'profile.yaml');
      expect(status).toBe(0);
    }
    expect(profile).toContain('INVENTED');
    expect(shop.read('profile.yaml')).toBe(profile);
  });
});

describe('calibrate drift', () => {
  const jobOn = (size: number, date: string) =>
    jobText({
      disturbance: [0.02, -0.03, 0.01, 0.02],
      place: (x, y) => [300 + size * x, 50 + size * y],
      more: `machine: bench.yaml\ndate: ${date}`,
    });

  it('tells from the readings of jobs whether sizes still agree with the profile', async () => {
    const shop = workshop();
    shop.write('bench.yaml', 'measured: 2025-01-10\n');
    const long = 'autumn/the-fern-screen-for-the-hall-upstairs.yaml';
    shop.write('autumn/bench.yaml', 'measured: 2025-01-10\n');
    shop.write('autumn/panel.svg', panel);
    shop.write(long, jobOn(1, '2026-09-01'));
    shop.write('b.yaml', jobOn(1, '2026-10-01'));
    const steady = await shop.call('calibrate', 'drift', long, 'b.yaml');
    expect(steady.status).toBe(0);
    expect(steady.out).toContain('No drift shows in 2 jobs');
    expect(steady.out).toContain('old-profile: The machine was last measured on 2025-01-10');
    for (const line of steady.out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    shop.write('b.yaml', jobOn(1.003, '2026-10-01'));
    shop.write('c.yaml', jobOn(1.003, '2026-11-01'));
    const { out } = await shop.call('calibrate', 'drift', 'b.yaml', 'c.yaml', '--json');
    expect(JSON.parse(out)).toMatchObject({ calibration: 'drift', drifted: true, perYear: null });
  });

  it('is not judged from jobs that cannot be read', async () => {
    const shop = workshop();
    const { status, out, err } = await shop.call('calibrate', 'drift', 'job.yaml', 'none.yaml');
    expect(status).toBe(2);
    expect(out).toBe('');
    expect(err).toContain('none.yaml');
  });
});

describe('A job whose profile is old', () => {
  it('is told so by its own date, with no clock', async () => {
    const shop = workshop();
    shop.write('bench.yaml', 'measured: 2025-01-10\n');
    shop.write('job.yaml', jobText({ more: 'machine: bench.yaml\ndate: 2026-02-01' }));
    expect((await shop.call('fit', 'job.yaml')).out).toContain('old-profile');
    shop.write('job.yaml', jobText({ more: 'machine: bench.yaml\ndate: 2025-12-01' }));
    expect((await shop.call('fit', 'job.yaml')).out).not.toContain('old-profile');
    shop.write('job.yaml', jobText({ more: 'machine: bench.yaml' }));
    expect((await shop.call('fit', 'job.yaml')).out).not.toContain('old-profile');
  });
});
