/**
 * Whether the limits of `inspect` hold: cuts of known shift, turn, size and kerf error, their gaps measured with known scatter at
 * the places that the tool names; and whether cuts whose errors come from the stated sds lie in the prediction.
 */
import { frameOf } from '../../src/inspect/inspection.js';
import {
  expectedGap,
  type InspectableFit,
  inspectable,
  inspectGaps,
  inspectScan,
  placesOf,
  toDrawing,
} from '../../src/inspected-job.js';
import { createRandom, type RandomSource } from '../../src/numeric/random.js';
import { loadJob } from '../../src/reseat.js';
import { renderedPiece } from '../inspect/rendered-piece.js';
import {
  clearance,
  filesOf,
  jobText,
  jobTurn,
  type Piece,
  piece,
  randomErrors,
  smallPiece,
  type TrueErrors,
  trueGap,
} from '../inspect/true-cut.js';

export const errorWords = ['shift x', 'shift y', 'turn', 'size', 'kerf'] as const;

/** Of one kind of gap-sd: how often the 95 % limits of each error held its true value, 0..1. */
export interface HeldLimits {
  readonly sd: 'stated' | 'estimated';
  readonly cuts: number;
  readonly held: readonly number[];
}

const gapSd = 0.03;

export const jobToInspect = (
  text = jobText(),
  pieces: Readonly<Record<string, Piece>> = {},
): InspectableFit => {
  const job = inspectable(loadJob({ path: 'piece.yaml', text }, filesOf(pieces)));
  if (!job.ok) throw new Error('the job has no fit');
  return job;
};

const turned = (x: number, y: number, by: number): [number, number] => [
  Math.cos(by) * x - Math.sin(by) * y,
  Math.sin(by) * x + Math.cos(by) * y,
];

/** The errors as the bed sees them, about the centre that the inspection takes. */
export const errorsOnBed = (
  job: InspectableFit,
  { x, y, turn, size, kerf }: TrueErrors,
  about = piece.centre,
): number[] => {
  const at = toDrawing(job)(frameOf(job.walk).centre);
  const [dx, dy] = [at.x - about.x, at.y - about.y];
  return [...turned(x - turn * dy + size * dx, y + turn * dx + size * dy, jobTurn), turn, size, kerf];
};

const inspected = (
  job: InspectableFit,
  errors: TrueErrors,
  random: RandomSource,
  stated: boolean,
  places = placesOf(job).places,
) => {
  const expected = expectedGap(job);
  const gaps = places.map((place) => ({
    place,
    // As read from a caliper.
    gap: Number(
      (trueGap(place.opening, place.drawn, clearance, errors) + gapSd * random.normal()).toFixed(2),
    ),
    expected: expected(place),
  }));
  return inspectGaps(job, gaps, 'measured', stated ? gapSd : undefined)!;
};

export const studyLimits = (cuts: number, seed: string): HeldLimits[] =>
  (['stated', 'estimated'] as const).map((sd): HeldLimits => {
    const random = createRandom(`${seed} gaps ${sd}`);
    const job = jobToInspect();
    const { places } = placesOf(job);
    const held = errorWords.map(() => 0);
    for (let i = 0; i < cuts; i += 1) {
      const errors = randomErrors(random);
      const truth = errorsOnBed(job, errors);
      const { found } = inspected(job, errors, random, sd === 'stated', places);
      found.forEach(({ value, limit }, k) => {
        if (Math.abs(value! - truth[k]!) <= limit!) held[k]! += 1;
      });
    }
    return { sd, cuts, held: held.map((n) => n / cuts) };
  });

/** Shares of cuts with stated errors whose chance is below 0.05 and below 0.5. */
export const studyAgreement = (
  cuts: number,
  seed: string,
): { readonly below05: number; readonly below50: number } => {
  const random = createRandom(`${seed} agreement`);
  let below05 = 0;
  let below50 = 0;
  for (let i = 0; i < cuts; i += 1) {
    const job = jobToInspect(jobText('', random));
    // Where the fit says the part lies, seen from where it lies, and the machine's own error.
    const [a, b, , , e, f] = job.fit.matrix;
    const turn = Math.atan2(b, a) - jobTurn;
    const [mx, my] = [piece.centre.x, piece.centre.y];
    const at = turned(mx, my, jobTurn);
    const dx = a * mx - b * my + e - (40 + at[0]) + 0.03 * random.normal();
    const dy = b * mx + a * my + f - (30 + at[1]) + 0.03 * random.normal();
    const [x, y] = turned(dx, dy, -jobTurn);
    const errors = { x, y, turn, size: 0, kerf: 0.02 * random.normal() };
    const { agreement } = inspected(job, errors, random, i % 2 === 0);
    if (agreement!.pValue < 0.05) below05 += 1;
    if (agreement!.pValue < 0.5) below50 += 1;
  }
  return { below05: below05 / cuts, below50: below50 / cuts };
};

export interface HeldScans {
  readonly cuts: number;
  readonly held: readonly number[];
  /** Variance of the errors found about the true ones, over the stated one. */
  readonly ratio: readonly number[];
}

/** Cuts of known errors, rendered as scans: turned any way, tones of their own, 10 to 25 % less light to one side. */
export const studyScans = (
  cuts: number,
  seed: string,
  dpi = 600,
  onEach: (i: number, sds: readonly number[]) => void = () => {},
): HeldScans => {
  const random = createRandom(`${seed} scans`);
  const job = jobToInspect(jobText('', undefined, smallPiece));
  const held = errorWords.map(() => 0);
  const squares = errorWords.map(() => 0);
  const pixel = 25.4 / dpi;
  for (let i = 0; i < cuts; i += 1) {
    const all = randomErrors(random);
    const errors = { ...all, x: 0.7 * all.x, y: 0.7 * all.y };
    const turn = (Math.PI / 2) * random.index(4) + 0.6 * (random.uniform() - 0.5);
    const [cx, cy] = turned(19, 13, turn);
    const size = { width: 46, height: 46 };
    const tones: readonly [number, number, number] =
      random.uniform() < 0.5
        ? [20 + 30 * random.uniform(), 100 + 60 * random.uniform(), 210 + 30 * random.uniform()]
        : [220 + 20 * random.uniform(), 60 + 60 * random.uniform(), 150 + 40 * random.uniform()];
    const picture = renderedPiece(smallPiece, errors, {
      ...size,
      density: 1 / pixel,
      turn,
      x: size.width / 2 - cx,
      y: size.height / 2 - cy,
      seed: `${seed} ${i}`,
      tones,
      falls: 0.1 + 0.15 * random.uniform(),
    });
    const { inspection } = inspectScan(job, {
      picture,
      pixel: { x: pixel, y: pixel },
      file: `scan ${i}`,
      gamma: 1,
    });
    const truth = errorsOnBed(job, errors, smallPiece.centre);
    const sds = inspection.found.map(({ value, sd, limit }, k) => {
      const off = value! - truth[k]!;
      if (Math.abs(off) <= limit!) held[k]! += 1;
      squares[k]! += (off / sd!) ** 2;
      return off / sd!;
    });
    onEach(i, sds);
  }
  return { cuts, held: held.map((n) => n / cuts), ratio: squares.map((s) => s / cuts) };
};
