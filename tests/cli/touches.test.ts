import { describe, expect, it } from 'vitest';
import { cutJob, jobPicture, loadJob, pictureSvg } from '../../src/internal.js';
import { columns, widthOf } from '../../src/report/text/layout.js';
import { placed, workshop } from './workshop.js';

/** A panel with a step in its outline, two openings, a peg hole drawn 3 mm in radius; y up as the job counts. */
const stepped = `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">
  <g id="openings">
    <circle id="moon" cx="60" cy="50" r="10"/>
    <rect id="window" x="100" y="30" width="40" height="40"/>
  </g>
  <circle id="peg" cx="185" cy="85" r="3"/>
  <polygon id="outline" points="0,100 200,100 200,40 150,0 0,0"/>
</svg>
`;

const at = (x: number, y: number): string => {
  const [px, py] = placed(x, y);
  return `[${px.toFixed(4)}, ${py.toFixed(4)}]`;
};

/** On the outline, evenly. */
const places: readonly (readonly [number, number])[] = [
  [30, 0],
  [150, 0],
  [200, 30],
  [180, 76],
  [120, 100],
  [40, 100],
  [0, 70],
  [0, 20],
];

const outlineTouches = places.map(([x, y]) => `  - {on: outline, at: ${at(x, y)}}`);

const jobOf = (touches: readonly string[], more: readonly string[] = []): string =>
  [
    'title: Panel by its outline',
    'drawing: stepped.svg',
    'touches:',
    ...touches,
    'fit: {reading-sd: 0.06}',
    'cut: {clearance: 0.5, kerf: 0.2}',
    ...more,
    '',
  ].join('\n');

const shop = (job: string, drawing = stepped) => {
  const made = workshop();
  made.write('job.yaml', job);
  made.write('stepped.svg', drawing);
  return made;
};

describe('a panel without any mark', () => {
  it('is placed by its outline, and the contract has its touches', async () => {
    const { status, out, err } = await shop(jobOf(outlineTouches)).call('fit', '--json', 'job.yaml');
    expect(err).toBe('');
    expect(status).toBe(0);
    const fit = JSON.parse(out);
    expect(Object.keys(fit).slice(-4)).toEqual(['marks', 'touches', 'rims', 'warnings']);
    expect(fit.marks).toEqual([]);
    expect(fit.rims).toEqual([]);
    expect(fit.matrix[0]).toBeCloseTo(0.96, 5);
    expect(fit.matrix[4]).toBeCloseTo(300, 3);
    expect(fit.matrix[5]).toBeCloseTo(50, 3);
    expect(fit).toMatchObject({ unknowns: 3, redundancy: 5, consistency: { consistent: true } });
    expect(fit.touches).toHaveLength(8);
    expect(Object.keys(fit.touches[0])).toEqual([
      'on',
      'at',
      'readings',
      'foot',
      'residual',
      'redundancy',
      'normalized',
      'smallestDetectable',
    ]);
    expect(fit.touches[0]).toMatchObject({ on: 'outline', readings: 1, residual: expect.closeTo(0, 3) });
    expect(fit.touches[0].at).toEqual(placed(30, 0).map((v) => expect.closeTo(v, 3)));
  });

  it('is told in a table that fits the screen', async () => {
    const { status, out } = await shop(jobOf(outlineTouches)).call('fit', 'job.yaml');
    expect(status).toBe(0);
    expect(out).toMatch(/Touches and how far each is from its edge \(\+ into the material\), mm:/);
    expect(out).toMatch(/^ +touch {2}on {7}n {2}reading x {2}reading y {2}from edge$/m);
    expect(out).not.toMatch(/how far each is from the fit/);
    for (const line of out.split('\n')) expect(widthOf(line)).toBeLessThanOrEqual(columns);
  });

  it('is checked and cut like any other, with a picture', async () => {
    const { call, read } = shop(jobOf(outlineTouches));
    const check = await call('check', 'job.yaml');
    expect(check.status).toBe(0);
    expect(check.out).toMatch(/An unseen mistake of \d\.\d\d mm at touch \d on outline could take/);
    const cut = await call('cut', 'job.yaml', '-o', 'cut.svg');
    expect(cut.err).toBe('');
    expect(cut.status).toBe(0);
    expect(cut.out).toMatch(/Placed by a rigid fit to 8 touches/);
    const loaded = loadJob(
      { path: 'job.yaml', text: read('job.yaml') },
      { read: (path) => new TextEncoder().encode(read(path)) },
    );
    const done = cutJob(loaded);
    if (!done.ok) throw new Error(done.failure.reason);
    const { openings, outline } = loaded.roles;
    const picture = pictureSvg(
      jobPicture({ job: loaded.job, openings, outline, fit: done.fit, cut: done.cut }),
    );
    expect(picture).toMatch(/data-touch="8"/);
    expect(picture).toMatch(/8 touches, numbered/);
    expect(picture).not.toMatch(/NaN|undefined/);
  });

  it('whose outline lies in two ways is refused with status 3, what it could be and what to touch', async () => {
    const plain = stepped.replace('0,100 200,100 200,40 150,0 0,0', '0,100 200,100 200,0 0,0');
    const touches = outlineTouches.filter((_, i) => i !== 3);
    const { status, out, err } = await shop(jobOf(touches), plain).call('fit', 'job.yaml');
    expect(status).toBe(3);
    expect(out).toBe('');
    expect(err).toMatch(/Seven touches fit two placements equally well: turned by 180\.0 degrees about/);
    expect(err).toMatch(
      /To tell, drive the pointer to \([\d.]+, [\d.]+\): (window|moon|peg) has an edge there/,
    );
    const decided = await shop(jobOf([...touches, `  - {on: window, at: ${at(140, 55)}}`]), plain).call(
      'fit',
      'job.yaml',
    );
    expect(decided.status).toBe(0);
  });
});

describe('touches and marks in one job', () => {
  it('are adjusted together, a rim of unknown radius among them', async () => {
    const rim = [10, 130, 250].map((degrees) => {
      const t = (degrees * Math.PI) / 180;
      return `  - {on: peg, at: ${at(185 + 3.2 * Math.cos(t), 15 + 3.2 * Math.sin(t))}, radius: unknown}`;
    });
    const marks = [`marks: {A: [10, 10], B: [150, 90]}`, `readings: {A: ${at(10, 10)}, B: ${at(150, 90)}}`];
    const { status, out } = await shop(jobOf(rim, marks)).call('fit', '--json', 'job.yaml');
    expect(status).toBe(0);
    const fit = JSON.parse(out);
    expect(fit).toMatchObject({ unknowns: 4, redundancy: 3, rms: expect.closeTo(0, 3) });
    expect(fit.rims).toEqual([
      { on: 'peg', radius: expect.closeTo(3.2, 3), sd: expect.closeTo(0.06 / Math.sqrt(3), 3) },
    ]);
  });

  it('a touch read wrongly is named, and reading it again is the next step', async () => {
    const touches = outlineTouches.map((line, i) =>
      i === 4 ? `  - {on: outline, at: ${at(120, 98.6)}}` : line,
    );
    const { status, out } = await shop(jobOf(touches)).call('fit', 'job.yaml');
    expect(status).toBe(0);
    expect(out).toMatch(/suspect-reading: Touch 5 on outline does not fit the others/);
    expect(out).toMatch(/Next: read again at touch 5 on outline/);
  });

  it('a job that needs more is told which touch to repeat', async () => {
    const { status, out } = await shop(
      jobOf(outlineTouches, ['check: {accepted-risk: 0.0001}']).replace('clearance: 0.5', 'clearance: 0.1'),
    ).call('check', 'job.yaml');
    expect(status).toBe(1);
    expect(out).toMatch(/Next: |or: /);
    expect(out).not.toMatch(/NaN|undefined|Infinity/);
  });
});
