/** Readings that contradict their stated sd: what is left over is systematic, and counts as what explains it. */
import { describe, expect, test } from 'vitest';
import { checkJob, loadJob } from '../../src/reseat.js';
import { panel } from './budget-job.js';

type Pair = readonly [x: number, y: number];

const six: Readonly<Record<string, Pair>> = {
  A: [20, 20],
  B: [580, 20],
  C: [580, 380],
  D: [20, 380],
  E: [300, 20],
  F: [300, 380],
};

interface Given {
  readonly moved?: (p: Pair, mark: string) => Pair;
  readonly marks?: Readonly<Record<string, Pair>>;
  readonly turn?: number;
  readonly check?: string;
  readonly fit?: string;
  readonly clearance?: number;
}

const checked = ({
  moved = (p) => p,
  marks = six,
  turn = 0,
  check = '{}',
  fit = '{reading-sd: 0.05}',
  clearance = 0.6,
}: Given) => {
  const [c, s] = [Math.cos((turn * Math.PI) / 180), Math.sin((turn * Math.PI) / 180)];
  const read = Object.entries(marks).map(([name, p]) => {
    const [x, y] = moved(p, name);
    return `${name}: [${(c * x - s * y + 900).toFixed(4)}, ${(s * x + c * y + 700).toFixed(4)}]`;
  });
  const text = `drawing: panel.svg
marks: {${Object.entries(marks).map(([name, p]) => `${name}: [${p.join(', ')}]`)}}
readings: {${read.join(', ')}}
machine: {axes: y-up}
fit: ${fit}
cut: {kind: opening, clearance: ${clearance}, corners: mitre, kerf: 0}
check: ${check}
`;
  const done = checkJob(loadJob({ path: 'job.yaml', text }, { read: () => new TextEncoder().encode(panel) }));
  if (!done.ok) throw new Error(done.failure.reason);
  return done;
};

const bowed = ([x, y]: Pair): Pair => [x, y + 0.4 * (1 - ((x - 300) / 300) ** 2)];

describe('After readings have contradicted their sd', () => {
  test('a panel that is bowed is found, named, and counts as a bow of that size', () => {
    for (const turn of [0, 25, 90]) {
      const { fit, check, warnings } = checked({ moved: bowed, turn });
      const { cause, amounts, covariance } = fit.leftOver!;
      expect(cause).toBe('bow');
      expect(amounts[0]).toBeCloseTo(0.4, 2);
      expect(check.verdict).not.toBe('fits');
      expect(check.explanation).toContain('a panel bowed by 0.40 mm in its middle');
      const atMost = 0.4 + 2 * Math.sqrt(covariance[0]![0]!);
      const { check: stated } = checked({ turn, check: `{bow: ${atMost}}` });
      expect(check.neededClearance! / stated.neededClearance!).toBeCloseTo(1, 2);
      const disagree = warnings.find(({ code }) => code === 'marks-disagree')!;
      expect(disagree.message).toContain('a panel bowed by 0.40 mm');
      expect(disagree.remedies![0]!.set).toEqual({ key: 'check.bow', value: atMost.toFixed(2) });
    }
  });

  test('a bow that is written down as advised settles it, and the same clearance is needed', () => {
    const before = checked({ moved: bowed });
    const { key, value } = before.warnings.find(({ code }) => code === 'marks-disagree')!.remedies![0]!.set!;
    expect(key).toBe('check.bow');
    const after = checked({ moved: bowed, check: `{bow: ${value}}` });
    expect(after.fit.consistency!.consistent).toBe(true);
    expect(after.check.neededClearance! / before.check.neededClearance!).toBeCloseTo(1, 1);
  });

  test('a panel that has shrunk counts as one of another size', () => {
    const shrunk = ([x, y]: Pair): Pair => [0.999 * x, 0.999 * y];
    const { fit, check } = checked({ moved: shrunk, turn: 12 });
    expect(fit.leftOver!.cause).toBe('size-change');
    expect(fit.leftOver!.amounts[0]).toBeCloseTo(-0.001, 5);
    expect(check.explanation).toContain('a panel shorter by 1.00 mm in a metre');
    const size = 0.001 + 2 * Math.sqrt(fit.leftOver!.covariance[0]![0]!);
    const { check: stated } = checked({ turn: 12, check: `{size-change: ${size}}` });
    expect(check.neededClearance! / stated.neededClearance!).toBeCloseTo(1, 2);
  });

  test('a bed whose axes differ counts as another shape, and what is needed covers what it does', () => {
    const stretched = ([x, y]: Pair): Pair => [1.0015 * x, y];
    const { fit, check } = checked({ moved: stretched });
    expect(fit.leftOver!.cause).toBe('shape');
    // The rigid fit takes up the shift of the marks' middle alone: at the far corner of the tile 0.0015 x 225 mm remain.
    expect(check.neededClearance).toBeGreaterThan(0.0015 * 225);
    expect(check.neededClearance).toBeLessThan(0.0015 * 225 + 0.25);
  });

  test('a mistake at one mark is no change of the panel: a shift to any side, as large as it shows', () => {
    const { fit, check } = checked({ moved: (p, mark) => (mark === 'B' ? [p[0] + 0.8, p[1]] : p) });
    expect(fit.leftOver).toBeUndefined();
    const largest = Math.max(...fit.marks.map(({ residual }) => Math.hypot(residual.x, residual.y)));
    expect(check.verdict).not.toBe('fits');
    expect(check.explanation).toContain(`${largest.toFixed(2)} mm of it is counted as a shift to any side`);
    expect(check.neededClearance).toBeGreaterThan(largest);
  });

  test('with an sd of few degrees of freedom it is told all the same, and the sd stays that one', () => {
    const { fit, check } = checked({ moved: bowed, fit: '{reading-sd: 0.05, reading-sd-dof: 20}' });
    expect(fit.leftOver!.cause).toBe('bow');
    // 20 stated and 9 - 1 of the residuals.
    expect(fit.leftOver!.degrees).toBe(28);
    expect(check.explanation).toContain('a panel bowed by');
  });

  test('marks taken for each other are no change of the panel, however well one explains them', () => {
    // Two swapped marks at a diagonal are a mirror image, which is a change of shape, if a large one.
    const { fit } = checked({
      marks: { A: six.A!, B: six.B!, C: six.C!, D: six.D! },
      moved: (p, mark) => (mark === 'A' ? six.C! : mark === 'C' ? six.A! : mark === 'B' ? [580, 20.1] : p),
    });
    expect(fit.consistency!.pValue).toBeLessThan(0.001);
    expect(fit.leftOver).toBeUndefined();
  });

  test('readings that agree have nothing left over', () => {
    const { fit, check } = checked({});
    expect(fit.leftOver).toBeUndefined();
    expect(check.explanation).not.toMatch(/left over|leave over|show a panel/);
  });
});
