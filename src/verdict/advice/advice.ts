/** What to do next, each with what it would bring: computed from the fit, not guessed. */
import type { Fit, FitOptions, FittedTouch, Observation } from '../../fit/fit.js';
import { mm, turnInWords } from '../../fit/words.js';
import { apply, type Matrix } from '../../geometry/affine.js';
import { type Box, boxDiagonal, distance, type Point } from '../../geometry/point.js';
import type { Remedy } from '../../job/messages.js';
import type { Edge } from '../edges/edge.js';
import type { EdgeIndex } from '../edges/edge-index.js';
import { neededName } from '../explain.js';
import {
  approachCoefficients,
  type CutUncertainty,
  type ErrorField,
  errorField,
  wholeCovariance,
} from '../risk/error-field.js';
import { type JobRisk, neededForJob } from '../risk/risk.js';
import type { Bounded } from '../risk/vertices.js';
import {
  type ReadingVariance,
  readingVariance,
  withKnownSd,
  withNewMark,
  withSecondReading,
  withSecondTouch,
} from './further-readings.js';

export interface Advice {
  readonly kind:
    | 'second-reading'
    | 'every-mark-again'
    | 'unread-mark'
    | 'new-mark'
    | 'state-sd'
    | 'state-figure'
    | 'larger-clearance'
    | 'place-by-hand'
    /** The cut would spoil the piece: the drawing, or the clearance, has to change. */
    | 'change-design'
    /** Something that checks the readings. */
    | 'further-reading'
    /** What settles a doubt: see Remedy. */
    | Remedy['kind'];
  /** One sentence. */
  readonly message: string;
  /** The needed clearance it would bring, mm; for `larger-clearance` the clearance itself. */
  readonly neededClearance?: number;
  /** `change-job`: key and value to write into the job. */
  readonly set?: NonNullable<Remedy['set']>;
  /** Marks to read. */
  readonly marks?: readonly string[];
  /** Where a new mark would lie, in the drawing before `face`, mm. */
  readonly at?: Point;
}

export interface AdviceInput {
  readonly fit: Fit;
  readonly observations: readonly Observation[];
  readonly options: FitOptions;
  readonly edges: readonly Edge[];
  readonly risk: JobRisk;
  readonly clearance: number;
  readonly acceptedRisk: number;
  readonly uncertainty: CutUncertainty;
  readonly systematic?: Matrix;
  readonly bounded?: Bounded;
  /** Least room left anywhere by the best estimate, mm. */
  readonly margin: number;
  readonly indexes?: readonly EdgeIndex[];
  /** Lines are cut again as drawn: the clearance is the deviation that is allowed. */
  readonly asDrawn: boolean;
  /** Box of the openings in the design after face. */
  readonly openingsBox: () => Box;
  /** After face -> drawing. */
  readonly face: Matrix;
  /** Marks of the job that nobody read, design after face. */
  readonly unread: ReadonlyMap<string, Point>;
}

/** Fewer degrees of freedom than this behind the sd, and stating it is worth saying. */
const fewDegrees = 10;
/** A reading that brings less than this share of the needed clearance is not worth the walk. */
const worthwhile = 0.05;
const mostAdvice = 3;

/** For a job that does not fit: up to three, the most useful first. */
export const adviceFor = (input: AdviceInput): Advice[] => {
  const { risk, clearance } = input;
  const enough = (a: Advice) => a.neededClearance !== undefined && a.neededClearance <= clearance;
  if (input.systematic !== undefined && input.margin < clearance / 2) {
    return [placeByHand(input), largerClearance(risk.neededClearance, input)];
  }
  const readings = furtherReadings(input).filter(
    (a) => a.neededClearance! <= (1 - worthwhile) * risk.neededClearance,
  );
  const larger = largerClearance(risk.neededClearance, input);
  const sufficient = readings.filter(enough);
  const others = readings.filter((a) => !enough(a)).sort((a, b) => a.neededClearance! - b.neededClearance!);
  // Of what suffices the least trouble comes first, the order they are made in; otherwise the largest gain.
  return [...sufficient, larger, ...others].slice(0, mostAdvice);
};

const furtherReadings = (input: AdviceInput): Advice[] => {
  const { fit, observations, options, risk, unread } = input;
  const variance = readingVariance(fit, observations, options);
  if (variance === undefined) return [];
  const advice: Advice[] = [];
  const bring = (later: Fit) => neededOf(input, later);
  const tell = (what: string, needed: number) =>
    `${what}: the needed ${neededName(input.asDrawn)} would go from ${fromTo(risk.neededClearance, needed)}.`;

  const { usedDof } = fit.sd;
  if (usedDof !== undefined && usedDof < fewDegrees && fit.sd.stated === undefined) {
    const needed = bring(withKnownSd(fit));
    const message = tell(
      `State reading-sd (reseat calibrate pointer measures it); if a reading is as good as these look, ${mm(fit.sd.used!)}`,
      needed,
    );
    advice.push({ kind: 'state-sd', message, neededClearance: needed });
  }
  const again = best(
    fit.marks.map((m, i) => ({ mark: m.mark, later: withSecondReading(fit, i, variance) })),
    input,
  );
  if (again !== undefined) {
    const needed = bring(again.later);
    const count = fit.marks.find((m) => m.mark === again.mark)!.readings;
    const message = tell(`Read mark ${again.mark} ${count === 1 ? 'a second time' : 'once more'}`, needed);
    advice.push({ kind: 'second-reading', message, neededClearance: needed, marks: [again.mark] });
  }
  const touched = best(
    touchesToRepeat(fit).map((t) => ({ touch: t.touch, later: withSecondTouch(fit, t, variance) })),
    input,
  );
  if (touched !== undefined) {
    const needed = bring(touched.later);
    const message = tell(`Read ${touched.touch} once more`, needed);
    advice.push({ kind: 'second-reading', message, neededClearance: needed, marks: [touched.touch] });
  }
  const found = best(
    [...unread].map(([mark, at]) => ({ mark, later: withNewMark(fit, at, variance) })),
    input,
  );
  if (found !== undefined) {
    const needed = bring(found.later);
    const message = tell(`Read mark ${found.mark} as well`, needed);
    advice.push({ kind: 'unread-mark', message, neededClearance: needed, marks: [found.mark] });
  }
  const all = bring(everythingAgain(fit, variance));
  advice.push({
    kind: 'every-mark-again',
    message: tell(`Read every ${fit.touches === undefined ? 'mark' : 'mark and touch'} once more`, all),
    neededClearance: all,
    marks: [...fit.marks.map((m) => m.mark), ...touchesToRepeat(fit).map((t) => t.touch)],
  });
  const corner = best(
    freeCorners(input).map((c) => ({ ...c, later: withNewMark(fit, c.at, variance) })),
    input,
  );
  if (corner !== undefined) {
    const needed = bring(corner.later);
    const at = apply(input.face, corner.at);
    const place = `(${at.x.toFixed(0)}, ${at.y.toFixed(0)}) in the drawing`;
    const message = tell(`A further mark near ${place}, ${corner.name} of the openings`, needed);
    advice.push({ kind: 'new-mark', message, neededClearance: needed, at });
  }
  return advice;
};

/** Hundredths, or thousandths where hundredths would not tell them apart. */
const fromTo = (now: number, then: number): string => {
  const digits = Math.abs(now - then) < 0.02 ? 3 : 2;
  return `${now.toFixed(digits)} mm to about ${then.toFixed(digits)} mm`;
};

const everythingAgain = (fit: Fit, variance: ReadingVariance): Fit => {
  const marks = fit.marks.reduce((later, _, i) => withSecondReading(later, i, variance), fit);
  return touchesToRepeat(fit).reduce((later, touch) => withSecondTouch(later, touch, variance), marks);
};

/** What a touch more on a rim of unknown radius brings, the placement's covariance alone does not tell. */
const touchesToRepeat = ({ touches = [], rims = [] }: Fit): readonly FittedTouch[] =>
  touches.filter((t) => rims.every((rim) => rim.on !== t.on));

const neededOf = (
  { edges, indexes, acceptedRisk, uncertainty, systematic, bounded }: AdviceInput,
  later: Fit,
): number =>
  neededForJob({
    edges,
    field: errorField(later, uncertainty)!,
    acceptedRisk,
    draws: 1024,
    ...(indexes === undefined ? {} : { indexes }),
    ...(systematic === undefined ? {} : { systematic }),
    ...(bounded === undefined ? {} : { bounded }),
  });

/** Of several the one that leaves the smallest error at the worst points: quick to tell, and nearly always the best. */
const best = <T extends { later: Fit }>(candidates: readonly T[], input: AdviceInput): T | undefined => {
  let chosen: T | undefined;
  let smallest = Number.POSITIVE_INFINITY;
  for (const candidate of candidates) {
    const field = errorField(candidate.later, input.uncertainty)!;
    let largest = 0;
    for (const { worst } of input.risk.openings) {
      if (worst !== undefined) largest = Math.max(largest, varianceAt(field, worst.at, worst.normal));
    }
    if (largest < smallest) {
      chosen = candidate;
      smallest = largest;
    }
  }
  return chosen;
};

const varianceAt = (field: ErrorField, at: Point, normal: Point): number => {
  const g = approachCoefficients(field, at, normal);
  const covariance = wholeCovariance(field);
  return g.reduce((sum, gi, i) => sum + gi * covariance[i]!.reduce((row, c, j) => row + c * g[j]!, 0), 0);
};

/** Corners of the openings' box that no mark stands near, named as they lie in the drawing. */
const freeCorners = ({ openingsBox, fit, face }: AdviceInput): { at: Point; name: string }[] => {
  const box = openingsBox();
  const near = boxDiagonal(box) / 8;
  const corners = [
    { x: box.minX, y: box.minY },
    { x: box.maxX, y: box.minY },
    { x: box.minX, y: box.maxY },
    { x: box.maxX, y: box.maxY },
  ];
  const middle = apply(face, { x: (box.minX + box.maxX) / 2, y: (box.minY + box.maxY) / 2 });
  return corners
    .filter((at) => [...fit.marks, ...(fit.touches ?? [])].every((m) => distance(m.design, at) > near))
    .map((at) => {
      const drawn = apply(face, at);
      return {
        at,
        name: `the ${drawn.y < middle.y ? 'lower' : 'upper'} ${drawn.x < middle.x ? 'left' : 'right'} corner`,
      };
    });
};

/** Rounded up to hundredths, so that what is typed does fit. */
const largerClearance = (needed: number, { clearance, asDrawn }: AdviceInput): Advice => {
  const enough = Math.ceil(needed * 100 - 1e-6) / 100;
  return {
    kind: 'larger-clearance',
    message: `${asDrawn ? 'An' : 'A'} ${neededName(asDrawn)} of ${enough.toFixed(2)} mm, ${(enough - clearance).toFixed(2)} mm more, would fit.`,
    neededClearance: enough,
  };
};

const placeByHand = ({ clearance, margin, fit, asDrawn }: AdviceInput): Advice => {
  const turn = (Math.atan2(fit.matrix[1], fit.matrix[0]) * 180) / Math.PI;
  return {
    kind: 'place-by-hand',
    message: `The cutter cannot apply the whole fit, and what it leaves out takes up to ${mm(clearance - margin)} of the ${neededName(asDrawn)}: turn the part by ${turnInWords(-turn, 3)}, take all readings again, or let the cutter apply more (cut.apply).`,
  };
};
