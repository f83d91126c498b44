import { describe, expect, it } from 'vitest';
import { columns, widthOf } from '../../src/report/text/layout.js';
import { jobText, placed, workshop } from './workshop.js';

const fitKeys = [
  'job',
  'model',
  'matrix',
  'rotationDeg',
  'translation',
  'scale',
  'shearDeg',
  'unknowns',
  'redundancy',
  'sumOfSquares',
  'rms',
  'sd',
  'displayStep',
  'consistency',
  'marks',
  'warnings',
];

const numbers = (values: number[]) => values.map((v) => expect.closeTo(v, 5));

describe('reseat fit --json', () => {
  it('prints the contract for one job on one line', async () => {
    const { status, out, err } = await workshop().call('fit', '--json', 'job.yaml');
    expect(status).toBe(0);
    expect(err).toBe('');
    expect(out.endsWith('}\n')).toBe(true);
    expect(out.split('\n')).toHaveLength(2);
    const fit = JSON.parse(out);
    expect(Object.keys(fit)).toEqual(['schemaVersion', ...fitKeys]);
    // The disturbance of 0.05 moves no parameter; it leaves 4 * 0.05^2.
    expect(fit).toMatchObject({
      job: 'job.yaml',
      model: 'rigid',
      matrix: numbers([0.96, 0.28, -0.28, 0.96, 300, 50]),
      rotationDeg: expect.closeTo((Math.asin(0.28) * 180) / Math.PI, 6),
      translation: numbers([300, 50]),
      scale: numbers([1, 1]),
      shearDeg: expect.closeTo(0, 9),
      unknowns: 3,
      redundancy: 5,
      sumOfSquares: expect.closeTo(0.01, 6),
      rms: expect.closeTo(0.05, 6),
    });
    expect(Object.keys(fit.sd)).toEqual(['stated', 'statedDof', 'estimated', 'used', 'usedDof']);
    expect(fit.sd).toMatchObject({ stated: 0.06, statedDof: null });
    expect(Object.keys(fit.consistency)).toEqual(['chiSquare', 'pValue', 'consistent']);
    expect(fit.marks.map((m: { name: string }) => m.name)).toEqual(['A', 'B', 'C', 'D']);
    expect(Object.keys(fit.marks[0])).toEqual([
      'name',
      'design',
      'reading',
      'readings',
      'fitted',
      'residual',
      'distance',
      'redundancy',
      'normalized',
      'smallestDetectable',
    ]);
    expect(fit.marks[1]).toMatchObject({
      design: numbers([190, 10]),
      reading: numbers([479.55, 112.8]),
      readings: 1,
      fitted: numbers([479.6, 112.8]),
      residual: numbers([-0.05, 0]),
      distance: expect.closeTo(0.05, 6),
    });
  });

  it('says null, never 0, for what is absent', async () => {
    const shop = workshop();
    const twoMarks = jobText()
      .replace(/^ {2}[CD]:.*\n/gm, '')
      .replace('fit: {reading-sd: 0.06}', 'fit: {model: similarity}');
    shop.write('job.yaml', twoMarks);
    const { status, out } = await shop.call('fit', '--json', 'job.yaml');
    expect(status).toBe(0);
    const fit = JSON.parse(out);
    expect(fit.redundancy).toBe(0);
    expect(fit.sd).toEqual({ stated: null, statedDof: null, estimated: null, used: null, usedDof: null });
    expect(fit.consistency).toBeNull();
    expect(fit.marks[0].normalized).toEqual([null, null]);
    expect(fit.marks[0].smallestDetectable).toEqual([null, null]);
    expect(fit.warnings.map((w: { code: string }) => w.code)).toContain('no-redundancy');
  });

  it('maps the design as drawn, mirror included, for a part on its face', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText({ place: (x, y) => placed(-x, y), more: 'face: down' }));
    const { out } = await shop.call('fit', '--json', 'job.yaml');
    const fit = JSON.parse(out);
    expect(fit.matrix).toEqual(numbers([-0.96, -0.28, -0.28, 0.96, 300, 50]));
    expect(fit.rotationDeg).toBeCloseTo((Math.asin(0.28) * 180) / Math.PI, 6);
    expect(fit.scale).toEqual(numbers([1, 1]));
    expect(fit.marks[1].design).toEqual(numbers([190, 10]));
  });

  it('keeps readings and fitted positions as the display shows them, y downwards', async () => {
    const shop = workshop();
    const down = (x: number, y: number): [number, number] => {
      const [px, py] = placed(x, y);
      return [px, 500 - py];
    };
    shop.write('job.yaml', jobText({ place: down, more: 'machine: {axes: y-down}' }));
    const fit = JSON.parse((await shop.call('fit', '--json', 'job.yaml')).out);
    expect(fit.matrix).toEqual(numbers([0.96, 0.28, -0.28, 0.96, 300, -450]));
    expect(fit.marks[1].reading).toEqual(numbers([479.55, 387.2]));
    expect(fit.marks[1].fitted).toEqual(numbers([479.6, 387.2]));
  });

  it('gives one line for each of several jobs, in the order of the call', async () => {
    const shop = workshop();
    shop.write('other/second.yaml', jobText({ drawing: '../panel.svg' }));
    const { status, out } = await shop.call('fit', '--json', 'other/second.yaml', 'job.yaml');
    expect(status).toBe(0);
    const jobs = out
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line).job);
    expect(jobs).toEqual(['other/second.yaml', 'job.yaml']);
  });
});

describe('reseat fit', () => {
  it('tells a person where the part lies, in 80 columns and without colour', async () => {
    const { status, out } = await workshop().call('fit', 'job.yaml');
    expect(status).toBe(0);
    expect(out).toContain('turned   16.2602 deg counter-clockwise');
    expect(out).toContain('shifted  300.000 mm in x, 50.000 mm in y');
    expect(out).toMatch(/ {2}B {5}1 {4}479\.550 {4}112\.800 {6}-0\.050 {7}0\.000 {5}0\.050\n/);
    expect(out).toContain('\n      reseat check job.yaml\n');
    expect(out).not.toContain('\u001b');
    for (const line of out.split('\n')) expect(widthOf(line)).toBeLessThanOrEqual(columns);
  });

  it('sends the operator back to the marks where readings are in doubt', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText({ disturbance: [0, 4.2, 0, 0] }));
    const { status, out } = await shop.call('fit', 'job.yaml');
    expect(status).toBe(0);
    expect(out).toMatch(/Next: read again at .*Cut\s+nothing\s+before that\./s);
    expect(out).not.toContain('reseat cut');
  });

  it('asks for a check where nothing checks the readings', async () => {
    const shop = workshop();
    shop.write(
      'job.yaml',
      jobText({ more: '' })
        .replace(/^ {2}[CD]:.*\n/gm, '')
        .replace('fit: {', 'fit: {model: similarity, '),
    );
    const { out } = await shop.call('fit', 'job.yaml');
    expect(out).toContain('no-redundancy');
    expect(out).toContain('nothing is left over to check');
    expect(out).toContain('Next: read one more mark');
  });

  it('refuses readings of one mark that lie millimetres apart, and names the digit', async () => {
    const [x, y] = placed(190, 10);
    const text = jobText().replace(/^ {2}B: .*$/m, `  B: [[${x}, ${y}], [${x}, ${y}], [${x - 30}, ${y}]]`);
    const place = workshop();
    place.write('job.yaml', text);
    for (const command of [['fit'], ['check'], ['cut', '-o', 'cut.svg']] as const) {
      const [name, ...rest] = command;
      const { status, out, err } = await place.call(name, 'job.yaml', ...rest);
      expect(status).toBe(2);
      expect(out).toBe('');
      expect(err).toContain('three readings of mark B that lie up to 30.00 mm apart');
      expect(err).toContain('readings of one mark within 1.00 mm of each other');
      expect(err).toMatch(/the third reading of mark B was typed with /);
    }
    expect(place.files()).not.toContain('cut.svg');
  });

  it('ends with status 3 and the cure where the fit has no solution', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText().replace(/^ {2}[BCD]:.*\n/gm, ''));
    const { status, out, err } = await shop.call('fit', '--json', 'job.yaml');
    expect(status).toBe(3);
    expect(out).toBe('');
    expect(err).toContain('reseat: job.yaml: the fit has no solution\n  reason:');
  });

  it('looks at every job, tells all that is wrong and prints what is right', async () => {
    const shop = workshop();
    shop.write('one-mark.yaml', jobText().replace(/^ {2}[BCD]:.*\n/gm, ''));
    shop.write('broken.yaml', jobText().replace('clearance: 0.5', 'clearance: half'));
    const calls = ['fit', '--json', 'one-mark.yaml', 'broken.yaml', 'job.yaml'];
    const { status, out, err } = await shop.call(...calls);
    expect(status).toBe(2);
    expect(err).toContain('one-mark.yaml: the fit has no solution');
    expect(err).toContain('broken.yaml:9:');
    expect(JSON.parse(out).job).toBe('job.yaml');
    expect((await shop.call('fit', 'one-mark.yaml', 'job.yaml')).status).toBe(3);
  });

  it('names the drawing that is not there', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText({ drawing: 'pannel.svg' }));
    const { status, err } = await shop.call('fit', 'job.yaml');
    expect(status).toBe(2);
    expect(err).toBe(
      [
        'reseat: job.yaml:2:10, drawing',
        '  found:    the drawing pannel.svg, which is not there',
        '  expected: a file pannel.svg',
        '  next:     Did you mean panel.svg?',
        '',
      ].join('\n'),
    );
  });
});
