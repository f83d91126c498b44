/** Gaps in scans of finished pieces, against pieces of known geometry. */
import { describe, expect, it } from 'vitest';
import { inspectScan } from '../../src/inspected-job.js';
import { InputError } from '../../src/job/messages.js';
import { errorsOnBed, jobToInspect, studyScans } from '../evidence/inspection.js';
import { type PieceScan, renderedPiece } from './rendered-piece.js';
import { jobText, smallPiece, type TrueErrors } from './true-cut.js';

const dpi = 300;
const pixel = { x: 25.4 / dpi, y: 25.4 / dpi };
const job = jobToInspect(jobText('', undefined, smallPiece));
const errors = { x: 0.1, y: -0.06, turn: 0.002, size: 0.0005, kerf: 0.03 };
const how: PieceScan = { width: 44, height: 32, density: dpi / 25.4, turn: 0.05, x: 4, y: 2, seed: 'one' };
type Rendered = ReturnType<typeof renderedPiece>;
const inspected = (picture: Rendered, more: { turned?: number; gamma?: number } = { gamma: 1 }, of = job) =>
  inspectScan(of, { picture, pixel, file: 'piece.png', ...more });
const messageOf = (work: () => unknown): string => {
  try {
    work();
  } catch (fault) {
    if (fault instanceof InputError) return `${fault.found}; ${fault.expected}. ${fault.next}`;
    throw fault;
  }
  return 'nothing';
};
const flipped = ({ width, height, levels, white }: Rendered): Rendered => ({
  width,
  height,
  white,
  levels: levels.map((_, i) => levels[i - (i % width) + width - 1 - (i % width)]!),
});

describe('the scan of a finished piece', () => {
  it('gives shift, turn, size and kerf of its cut within their sds, and the gap that is seen', () => {
    const { inspection, scan } = inspected(renderedPiece(smallPiece, errors, how));
    const truth = errorsOnBed(job, errors, smallPiece.centre);
    for (const [k, { value, sd }] of inspection.found.entries()) {
      expect(Math.abs(value! - truth[k]!) / sd!).toBeLessThan(4);
      // Micrometres, and tenths of a mrad over 15 mm.
      expect(sd).toBeLessThan([0.002, 0.002, 2e-4, 2e-4, 0.003][k]!);
    }
    expect(scan.unseen.share).toBeLessThan(0.02);
    const { gap, seen } = inspection.least.find(({ opening }) => opening === 'round')!;
    expect(seen!.gap).toBeCloseTo(gap, 1);
  });

  it('is understood however it lies on the glass, and with a light ground behind a dark panel', () => {
    for (const [turn, x, y] of [
      [1.6, 30, 3],
      [3.1, 41, 28],
      [-1.5, 3, 41],
    ] as const) {
      const size = Math.abs(Math.sin(turn)) > 0.5 ? { width: 32, height: 44 } : {};
      const tones = [235, 70, 160] as const;
      const picture = renderedPiece(smallPiece, errors, { ...how, ...size, turn, x, y, tones });
      const { inspection } = inspected(picture);
      const truth = errorsOnBed(job, errors, smallPiece.centre);
      expect(inspection.found[0]!.value).toBeCloseTo(truth[0]!, 2);
      expect(inspection.found[1]!.value).toBeCloseTo(truth[1]!, 2);
    }
  });

  it('shows where the film lies across the edge of a hole, and by how much', () => {
    const across = { ...errors, x: 0, y: -0.75, turn: 0, size: 0, kerf: 0 };
    const { inspection, scan } = inspected(renderedPiece(smallPiece, across, how));
    const covered = scan.seen.filter(({ by }) => by === 'covered');
    // The film's upper edges, 0.25 mm over the holes.
    expect(covered.length).toBeGreaterThan(3);
    const above = covered.filter(({ place }) => place.opening === 'window' && place.normal.y > 0.9);
    for (const { gap } of above) expect(gap).toBeCloseTo(-0.25, 1);
    expect(inspection.warnings.map(({ code }) => code)).toContain('edge-crossed');
    expect(inspection.least.find(({ opening }) => opening === 'window')!.gap).toBeCloseTo(-0.25, 2);
  });

  it('has limits that hold: 12 scans of known errors (500 in the evidence)', () => {
    const { ratio, held } = studyScans(12, 'test', dpi);
    // Of 12 squares of a t value the mean lies between 0.25 and 2.7 in 999 of 1000.
    for (const r of ratio) {
      expect(r).toBeGreaterThan(0.25);
      expect(r).toBeLessThan(2.7);
    }
    expect(held.reduce((a, b) => a + b, 0) / held.length).toBeGreaterThan(0.85);
  }, 60_000);

  it('written for the eye moves the kerf by what is said, unless its gamma is stated', () => {
    const picture = renderedPiece(smallPiece, errors, { ...how, gamma: 2.2, noise: 1 });
    const kerfOf = ({ inspection }: ReturnType<typeof inspected>) => inspection.found[4]!.value!;
    const unstated = inspected(picture, {});
    const warning = unstated.inspection.warnings.find(({ code }) => code === 'gamma-unstated')!;
    const said = Number(/the kerf is (\d+\.\d+) mm less/.exec(warning.message)![1]);
    expect(kerfOf(unstated) - errors.kerf).toBeGreaterThan(0.01);
    expect(Math.abs(kerfOf(unstated) - said - errors.kerf)).toBeLessThan(0.008);
    expect(Math.abs(kerfOf(inspected(picture, { gamma: 2.2 })) - errors.kerf)).toBeLessThan(0.003);
  });

  it('is refused where it is another picture, shows the back, or has but two tones', () => {
    const even = { width: 500, height: 300, levels: new Uint8Array(150_000).fill(200), white: 255 };
    expect(messageOf(() => inspected(even))).toMatch(/without two tones/);
    const picture = renderedPiece(smallPiece, errors, how);
    expect(messageOf(() => inspected(flipped(picture)))).toMatch(/openings of the job are not found/);
    const two = renderedPiece(smallPiece, errors, { ...how, tones: [30, 225, 225], texture: 0 });
    expect(messageOf(() => inspected(two))).toMatch(
      /two edges, of hole and of film, at \d+ of \d+ stretches/,
    );
  });

  it('of a panel that fits in two ways asks how it was turned', () => {
    const text = jobText('', undefined, smallPiece);
    const twice = {
      ...smallPiece,
      openings: [
        { id: 'left', circle: [8, 13, 4] },
        { id: 'right', circle: [30, 13, 4] },
      ],
      centre: { x: 19, y: 13 },
    } as const;
    const symmetric = jobToInspect(text.replace('small.svg', 'twice.svg'), { 'twice.svg': twice });
    const picture = renderedPiece(twice, { ...errors, turn: 0 }, how);
    expect(messageOf(() => inspected(picture, { gamma: 1 }, symmetric))).toMatch(
      /turned by -?\d+ degrees and by -?\d+ degrees.*--turned/s,
    );
    const truth = (of: TrueErrors) => errorsOnBed(symmetric, of, twice.centre);
    const { inspection } = inspected(picture, { gamma: 1, turned: 0 }, symmetric);
    expect(inspection.found[0]!.value).toBeCloseTo(truth({ ...errors, turn: 0 })[0]!, 2);
    const other = inspected(picture, { gamma: 1, turned: Math.PI }, symmetric);
    expect(other.inspection.found[0]!.value).toBeCloseTo(-truth({ ...errors, turn: 0 })[0]!, 1);
  });
});
