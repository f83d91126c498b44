import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitJob, InputError, loadJob, loadPlan } from '../../src/index.js';

/** A plate of 600 x 400 units, without unit. */
const plate = (root = 'width="600" height="400"') =>
  `<svg xmlns="http://www.w3.org/2000/svg" ${root}><rect id="outline" width="600" height="400"/>
<g id="openings"><circle id="moon" cx="150" cy="150" r="40"/></g>
<g id="marks"><circle id="A" cx="20" cy="20" r="2"/><circle id="B" cx="580" cy="30" r="2"/><circle id="C" cx="580" cy="380" r="2"/></g></svg>`;

const filesOf = (drawing: string) => ({
  read: (path: string) => (path === 'plate.svg' ? new TextEncoder().encode(drawing) : undefined),
});
const places: Readonly<Record<string, readonly [number, number]>> = {
  A: [20, 20],
  B: [580, 30],
  C: [580, 380],
};
/** Where a point of the drawing lies on the bed when a unit is `unit` mm long. */
const onBed = ([x, y]: readonly [number, number], unit: number, turn: number): [number, number] => {
  const [u, v] = [x * unit, (400 - y) * unit];
  const at = (value: number): number => Math.round(value * 100) / 100;
  return [
    at(900 + Math.cos(turn) * u - Math.sin(turn) * v),
    at(900 + Math.sin(turn) * u + Math.cos(turn) * v),
  ];
};
const px = 25.4 / 96;
const marksRead = (unit: number, turn = 0.3, names = ['A', 'B', 'C']): string =>
  `readings: {${names.map((name) => `${name}: [${onBed(places[name]!, unit, turn).join(', ')}]`).join(', ')}}\n`;
const edges: readonly (readonly [string, readonly [number, number]])[] = [
  ['outline', [100, 0]],
  ['outline', [500, 0]],
  ['outline', [600, 60]],
  ['outline', [600, 350]],
  ['outline', [450, 400]],
  ['outline', [150, 400]],
  ['outline', [0, 300]],
  ['outline', [0, 80]],
  ['moon', [190, 150]],
];
const edgesTouched = (unit: number): string =>
  `touches:\n${edges.map(([on, at]) => `  - {on: ${on}, at: [${onBed(at, unit, 0.3).join(', ')}]}\n`).join('')}`;
const jobOf = (readings: string, model = 'rigid', keys = ''): string =>
  `drawing: plate.svg\n${readings}fit: {reading-sd: 0.08, model: ${model}}\n${keys}`;
const faultOf = (text: string, drawing = plate()): InputError | undefined => {
  try {
    fitJob(loadJob({ path: 'job.yaml', text }, filesOf(drawing)));
    return undefined;
  } catch (error) {
    expect(error).toBeInstanceOf(InputError);
    return error as InputError;
  }
};

describe('a drawing whose scale is assumed, held against the readings', () => {
  const scales = [
    ['dpi: 90', 25.4 / 90],
    ['dpi: 72', 25.4 / 72],
    ['dpi: 300', 25.4 / 300],
    ['units: mm', 1],
  ] as const;

  it.each(scales)('is refused with "%s" where the marks say so, whatever the model', (line, unit) => {
    for (const model of ['rigid', 'similarity', 'affine', 'shift']) {
      for (const root of [
        'width="600" height="400"',
        'width="600px" height="400px"',
        'viewBox="0 0 600 400"',
      ]) {
        const text = jobOf(marksRead(unit), model);
        expect(faultOf(text, plate(root))?.next).toContain(`Write "${line}" into the job.`);
      }
    }
    expect(faultOf(jobOf(marksRead(unit, 0.3, ['A', 'B'])))?.next).toContain(`"${line}"`);
    // The advice, followed to the letter, mends the job.
    const { warnings } = loadJob(
      { path: 'job.yaml', text: jobOf(marksRead(unit), 'rigid', line) },
      filesOf(plate()),
    );
    expect(warnings.map(({ code }) => code)).not.toContain('dpi-assumed');
    expect(faultOf(jobOf(marksRead(unit), 'rigid', line))).toBeUndefined();
  });

  it.each(scales.filter(([line]) => line !== 'dpi: 300'))(
    'is refused with "%s" where touches say so',
    (line, unit) => {
      expect(faultOf(jobOf(edgesTouched(unit)))?.next).toContain(`Write "${line}" into the job.`);
    },
  );

  it('is refused where a slip at one mark hides nothing of it', () => {
    const slip = marksRead(25.4 / 72).replace(/A: \[[^\]]*\]/, 'A: [500, 500]');
    const withFour = `${slip.replace('}', `, D: [${onBed([20, 380], 25.4 / 72, 0.3).join(', ')}]}`)}`;
    const drawing = plate().replace('</g></svg>', '<circle id="D" cx="20" cy="380" r="2"/></g></svg>');
    expect(faultOf(jobOf(withFour), drawing)?.next).toContain('"dpi: 72"');
  });

  it('is taken where they agree, and the warning says so; before any reading it stands alone', () => {
    const text = jobOf(marksRead(px));
    expect(faultOf(text)).toBeUndefined();
    const said = loadJob({ path: 'job.yaml', text }, filesOf(plate())).warnings[0]!;
    expect(said.code).toBe('dpi-assumed');
    expect(said.message).toMatch(/^The panel is 158.8 x 105.8 mm, .* agree with that; .*"dpi: 96"/);
    const [alone] = loadPlan({ path: 'job.yaml', text }, filesOf(plate())).warnings;
    expect(alone!.message).toMatch(/^The panel is 158.8 x 105.8 mm, .*Measure the panel/);
    expect(faultOf(jobOf(edgesTouched(px)))).toBeUndefined();
  });

  it('is never refused for readings that are only worse than stated, or for a panel that has grown', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -0.004, max: 0.004, noNaN: true }),
        fc.double({ min: -3, max: 3, noNaN: true }),
        (growth, turn) => {
          expect(faultOf(jobOf(marksRead(px * (1 + growth), turn)))).toBeUndefined();
        },
      ),
      { seed: 20261201, numRuns: 20 },
    );
  });

  it('is refused where typed marks lie off the panel, and on it if its figures are mm', () => {
    const marks = 'marks: {A: [20, 380], B: [580, 370], C: [580, 20]}\n';
    const fault = faultOf(jobOf(marksRead(1) + marks));
    expect(fault?.message).toContain('mark A at [20, 380], off the panel');
    expect(fault?.next).toContain('Write "units: mm"');
    expect(faultOf(jobOf(marksRead(1) + marks, 'rigid', 'units: mm'))).toBeUndefined();
  });

  it('is no question where the job says it', () => {
    expect(faultOf(jobOf(marksRead(25.4 / 72), 'similarity', 'dpi: 96'))).toBeUndefined();
  });
});

describe('a panel of an unlikely size is told of', () => {
  const codes = (drawing: string, keys = ''): string[] =>
    loadPlan({ path: 'job.yaml', text: `drawing: plate.svg\n${keys}` }, filesOf(drawing)).warnings.map(
      ({ code, message }) => (code === 'unlikely-size' ? message : code),
    );
  const inUnit = (unit: string): string =>
    plate(`width="600${unit}" height="400${unit}" viewBox="0 0 600 400"`);

  it('over 3 m, under 5 mm, and larger than the bed however it is turned', () => {
    expect(codes(inUnit('mm'))).toEqual([]);
    expect(codes(inUnit('cm'))).toEqual([
      'The panel is 6000 x 4000 mm, over 3 m long. Its unit is cm: some programs write one unasked. If its figures are mm, write "units: mm" into the job.',
    ]);
    expect(codes(plate('width="4mm" height="3mm" viewBox="0 0 600 400"'))[0]).toContain('under 5 mm');
    expect(codes(inUnit('mm'), 'machine: {size: [400, 600]}')).toEqual([]);
    expect(codes(inUnit('mm'), 'machine: {size: [600, 390]}')[0]).toContain(
      'larger than the bed of 600 x 390 mm',
    );
    // 600 x 10 lies across 500 x 400, whose diagonal is 640.
    const strip = plate('width="600mm" height="10mm" viewBox="0 0 600 10"').replace(
      'height="400"/>',
      'height="10"/>',
    );
    expect(codes(strip, 'machine: {size: [500, 400]}').join()).not.toContain('larger than the bed');
    expect(codes(strip, 'machine: {size: [500, 300]}').join()).toContain('larger than the bed');
  });
});
