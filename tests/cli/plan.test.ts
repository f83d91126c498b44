import { describe, expect, it } from 'vitest';
import type { PlanJson } from '../../src/internal.js';
import { workshop } from './workshop.js';

/** Two openings on a panel of 200 x 100 mm without marks; a group of the file that nothing reads. */
const drawing = `<?xml version="1.0" encoding="ISO-8859-1"?>
<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 400 200">
  <g id="openings">
    <circle id="moon" cx="120" cy="100" r="20"/>
    <path id="leaf" d="M200 60C260 40 320 80 300 140C240 150 200 120 200 60Z"/>
  </g>
  <text id="note" x="10" y="10">cut twice</text>
  <rect id="outline" x="0" y="0" width="400" height="200"/>
</svg>
<!-- made by hand -->
`;

const job = ['drawing: plain.svg', 'fit: {reading-sd: 0.06}', 'plan: {marks: 3}', ''].join('\n');

const bench = () => {
  const shop = workshop();
  shop.write('plain.svg', drawing);
  shop.write('plan.yaml', job);
  return shop;
};

const jsonOf = (text: string): PlanJson => JSON.parse(text);

describe('reseat plan', () => {
  it('tells where the marks go, what each brings, and what it was reckoned with', async () => {
    const { call } = bench();
    const { status, out, err } = await call('plan', 'plan.yaml');
    expect([status, err]).toEqual([0, '']);
    expect(out).toContain('The best 3 marks');
    expect(out).toMatch(/^ {2}A +\d+\.0 +\d+\.0 +new mark/m);
    expect(out).toMatch(/^ {2}> {2}3 marks +3 +3 /m);
    expect(out).toContain('Reckoned with reading-sd 0.06 mm, mark-sd 0 mm.');
    const flowing = out.replace(/\s+/g, ' ');
    expect(flowing).toContain(
      "in mm from the lower left corner of the drawing's page, x right, y up; there the panel begins at (0, 0):",
    );
    expect(flowing).toContain('land 5 mm from openings, 8 mm from the edge, on a grid of 1 mm');
    expect(flowing.match(/as usual/gi)).toHaveLength(1);
    expect(flowing).toContain('reseat plan plan.yaml -o FILE.svg');
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  it('says what it cannot count before the part lies: the bed map, and what the cutter cannot apply', async () => {
    const { call, write } = bench();
    write(
      'tight.yaml',
      `${job}cut: {apply: shift}\nmachine: {bed-map-sd: {scale: [1e-4, 1e-4], skew-mrad: 0.1}}\n`,
    );
    const { status, out, err } = await call('plan', 'tight.yaml');
    expect([status, err]).toEqual([0, '']);
    expect(out.replace(/\s+/g, ' ')).toContain(
      'What is uncertain about the bed map, and what "apply: shift" leaves out of the placement comes on top, for it depends on how the part will lie.',
    );
  });

  it('prints one object per job, with nulls for what is absent', async () => {
    const { call } = bench();
    const { status, out } = await call('plan', '--json', 'plan.yaml', 'job.yaml');
    expect(status).toBe(0);
    const [plain, marked] = out.trim().split('\n').map(jsonOf);
    expect(plain).toMatchObject({
      job: 'plan.yaml',
      marks: 3,
      present: null,
      clearance: 0.5,
      acceptedRisk: 0.05,
      readingSd: { value: 0.06, dof: null, stated: true },
      choices: { use: ['land'], allowed: null, fromOpenings: 5, fromEdge: 8, grid: 1 },
    });
    expect(plain!.patterns.map(({ marks }) => marks)).toEqual([2, 3, 4]);
    expect(plain!.chosen.places.map(({ name }) => name)).toEqual(['A', 'B', 'C']);
    expect(plain!.chosen.places[0]).toMatchObject({ kind: 'land', shape: null, normal: null, readings: 1 });
    expect(marked!.present!.places.map(({ name }) => name)).toEqual(['A', 'B', 'C', 'D']);
    const drawn = new Map(marked!.present!.places.map(({ name, at }) => [name, at]));
    const letters = [...'EFG'];
    for (const { name, at, kind } of marked!.chosen.places) {
      if (kind === 'drawn') expect(drawn.get(name)).toEqual(at);
      else expect(name).toBe(letters.shift());
    }
  });

  it('writes the drawing with the marks in it, all else as it was, to be the drawing of the job', async () => {
    const { call, read, write, files } = bench();
    const { out } = await call('plan', 'plan.yaml', '-o', 'marked.svg', '--json');
    const { chosen } = jsonOf(out);
    const text = read('marked.svg');
    expect(text).toContain('<text id="note" x="10" y="10">cut twice</text>');
    expect(text).toContain('<?xml version="1.0" encoding="UTF-8"?>');
    expect(text).toContain('<!-- made by hand -->');
    expect(files()).not.toContain('marked.svg.part');

    const readings = chosen.places.map(({ name, at: [x, y] }) => `  ${name}: [${300 - y!}, ${40 + x!}]`);
    write(
      'cut.yaml',
      ['drawing: marked.svg', 'readings:', ...readings, 'fit: {reading-sd: 0.06}', ''].join('\n'),
    );
    const fit = await call('fit', '--json', 'cut.yaml');
    const fitted = JSON.parse(fit.out);
    expect(fitted.rotationDeg).toBeCloseTo(90, 6);
    expect(fitted.rms).toBeLessThan(1e-5);
    expect(fitted.marks.map(({ design }: { design: number[] }) => design)).toEqual(
      chosen.places.map(({ at }) => at.map((value) => expect.closeTo(value, 5))),
    );
    // What was predicted is what the check then needs.
    const check = JSON.parse((await call('check', '--json', 'cut.yaml')).out);
    expect(check.neededClearance / chosen.jobNeededClearance!).toBeGreaterThan(0.95);
    expect(check.neededClearance / chosen.jobNeededClearance!).toBeLessThan(1.05);
  });

  it('writes it as DXF, with layers, where that is asked for', async () => {
    const { call } = bench();
    const { status, out } = await call('plan', 'plan.yaml', '-o', 'marked.dxf', '--json');
    expect(status).toBe(0);
    const { shapes } = JSON.parse((await call('list', '--json', 'marked.dxf')).out);
    const layers = shapes.map(({ layer }: { layer: string }) => layer).sort();
    expect(layers.filter((layer: string) => layer === 'marks')).toHaveLength(3);
    expect(layers.filter((layer: string) => layer === 'openings')).toHaveLength(2);
    const centres = shapes
      .filter(({ layer }: { layer: string }) => layer === 'marks')
      .map(({ box: [x0, y0, x1, y1] }: { box: number[] }) => [(x0! + x1!) / 2, (y0! + y1!) / 2]);
    expect(centres).toEqual(
      jsonOf(out).chosen.places.map(({ at }) => at.map((value) => expect.closeTo(value, 6))),
    );
  });

  it('leaves marks that are drawn where they are, and names its own by letters that are free', async () => {
    const { call, write, read } = bench();
    const few = read('panel.svg').replace(/<circle id="[BCD]".*?\/>/g, '');
    write('panel.svg', few.replace('</g>', '<circle id="C" cx="60" cy="90" r="1"/></g>'));
    write('job.yaml', 'drawing: panel.svg\nfit: {reading-sd: 0.06}\ncut: {clearance: 0.5, kerf: 0.2}\n');
    expect((await call('plan', 'job.yaml', '-o', 'more.svg')).err).toBe('');
    const { shapes } = JSON.parse((await call('list', '--json', 'more.svg')).out);
    const marks = shapes.filter(({ role }: { role: string }) => role === 'mark');
    const { chosen } = jsonOf((await call('plan', 'job.yaml', '--json')).out);
    const made = chosen.places.filter(({ kind }) => kind === 'land').map(({ name }) => name);
    expect(made.length).toBeGreaterThan(0);
    expect(made).toEqual([...'BDE'].slice(0, made.length));
    expect(marks.map(({ id }: { id: string }) => id)).toEqual(['A', 'C', ...made]);
  });

  it('pierces no new mark for a job that needs no more with the marks that are drawn', async () => {
    const { call } = bench();
    const plan = jsonOf((await call('plan', 'job.yaml', '--json')).out);
    // Three are asked for, four are drawn: no three of them, and none with a new one, serve the whole job better.
    expect(plan.chosen).toEqual(plan.present);
    expect(plan.chosen.places.map(({ kind }) => kind)).toEqual(Array(4).fill('drawn'));
    for (const { places, jobNeededClearance } of plan.patterns)
      if (places.length <= 4)
        expect(jobNeededClearance).toBeGreaterThanOrEqual(plan.chosen.jobNeededClearance! * 0.99);
    // They map onto themselves after half a turn: that is told, not cured by a mark that makes the job worse.
    expect(plan.warnings.map(({ code }) => code)).toContain('ambiguous-pattern');
    const { out } = await call('plan', 'job.yaml');
    expect(out).toContain('The 4 marks that are drawn serve best');
    expect(out).toMatch(/^ {2}> {2}4 marks as drawn/m);
  });

  it('prints the lines that name what is touched, to be put into the job with the readings', async () => {
    const { call, write } = bench();
    write('touch.yaml', `${job.replace('{marks: 3}', '{marks: 3, use: [edges, holes]}')}`);
    const { chosen } = jsonOf((await call('plan', '--json', 'touch.yaml')).out);
    const { out } = await call('plan', 'touch.yaml');
    const lines = chosen.places.flatMap(({ kind, shape, at: [x, y] }) =>
      kind === 'edge'
        ? [`  - {on: ${shape}, start: [${x}, ${y}], at: [x, y]}`]
        : Array<string>(3).fill(`  - {on: ${shape}, at: [x, y]}`),
    );
    const pasted = out.slice(out.indexOf('touches:'));
    expect(pasted.split('\n').slice(1, -1)).toEqual(lines);
    // With readings in place of x, y the job is one that a fit takes: the panel lies 40, 30 off, the moon's radius is 10.
    const shown = chosen.places.flatMap(({ kind, at: [x, y] }) =>
      kind === 'edge'
        ? [[x! + 40, y! + 30]]
        : [0, 1, 2].map((k) => [x! + 40 + 10 * Math.cos(2 * k), y! + 30 + 10 * Math.sin(2 * k)]),
    );
    write(
      'read.yaml',
      `${job}${pasted.replace(/at: \[x, y\]/g, () => `at: [${shown.shift()!.join(', ')}]`)}`,
    );
    const fit = await call('fit', '--json', 'read.yaml');
    expect(fit.status, fit.err).toBe(0);
    expect(JSON.parse(fit.out).rms).toBeLessThan(1e-3);
  });

  it('prints the names of the marks for a DXF, which has none', async () => {
    const { call } = bench();
    const { out } = await call('plan', 'plan.yaml', '-o', 'marked.dxf');
    expect(out).toMatch(/^marks:\n {2}A: \[[\d.]+, [\d.]+\]\n/m);
    expect(out).toMatch(/^readings:\n {2}A: \[x, y\]\n/m);
    expect(out.replace(/\s+/g, ' ')).toContain('each a circle 2 mm across; written anew');
  });

  it('draws a picture with its contours labelled, as SVG or PNG', async () => {
    const { call, read, files } = bench();
    const { out } = await call('plan', 'plan.yaml', '--picture', 'plan.svg');
    expect(out).toContain('plan.svg: the error to be expected over the panel');
    const text = read('plan.svg');
    expect(text.match(/data-mark="/g)).toHaveLength(3);
    expect(text).toMatch(/data-part="contour-labels"[^>]*><text/);
    expect(text.match(/data-worst="true"/g)).toHaveLength(1);
    await call('plan', 'plan.yaml', '--picture', 'plan.png');
    expect(files()).toContain('plan.png');
  });

  it('overwrites nothing unasked, and its own input never', async () => {
    const { call, write, read } = bench();
    write('there.svg', 'mine');
    const refused = await call('plan', 'plan.yaml', '-o', 'there.svg');
    expect(refused.status).toBe(2);
    expect(read('there.svg')).toBe('mine');
    const input = await call('plan', 'plan.yaml', '-o', 'plain.svg', '--force');
    expect(input.status).toBe(2);
    expect(read('plain.svg')).toBe(drawing);
    expect((await call('plan', 'plan.yaml', '-o', 'there.svg', '--force')).status).toBe(0);
  });

  it.each([
    [['plan', 'plan.yaml', 'job.yaml', '-o', 'a.svg'], 'one job where a file is written'],
    [['plan', 'plan.yaml', '-o', 'a.pdf'], 'a name ending in .svg or .dxf'],
    [['plan', 'plan.yaml', '--picture', 'a.jpg'], 'a name ending in .png or .svg'],
    [['plan', 'plan.yaml', '-o', 'a.svg', '--picture', './a.svg'], 'a file for each'],
    [['plan', 'nowhere.yaml'], 'a job file'],
  ])('is refused with what to do: %s', async (argv, expected) => {
    const { call } = bench();
    const { status, err, out } = await call(...argv);
    expect(status).toBe(2);
    expect(err).toContain(expected);
    expect(out).toBe('');
  });

  it('without new marks there is nothing to write into the drawing', async () => {
    const { call, write, files } = bench();
    write('touch.yaml', `${job.replace('{marks: 3}', '{marks: 3, use: [corners, holes]}')}`);
    const { status, err } = await call('plan', 'touch.yaml', '-o', 'touched.svg');
    expect(status).toBe(2);
    expect(err).toContain('a plan without new marks');
    expect(files()).not.toContain('touched.svg');
    const told = await call('plan', 'touch.yaml');
    expect(told.out).toContain('3 places to touch');
  });
});
