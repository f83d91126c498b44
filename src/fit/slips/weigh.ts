/** Weighs the explanations of readings against each other by refitting each. */
import type { Point } from '../../geometry/point.js';
import type { FitOptions, Observation } from '../fit.js';
import { placed, turnOfPlacement, unknownsOf } from '../solve/placement.js';
import { meanReading } from '../solve/uncertainty.js';
import {
  asSupposed,
  expectedSd,
  logEvidence,
  logPlausible,
  logSizeDensity,
  logSum,
  noisySd,
  type SdGrid,
  type Supposed,
  type SupposedMark,
  type SupposedWithout,
  suppose,
  supposeWithout,
} from './evidence.js';
import {
  type CouldBe,
  explanationsFor,
  type SlipExplanation,
  slipPriors,
  type TypedReadings,
} from './explanations.js';

export interface WeighedSlip {
  readonly slip: SlipExplanation;
  /** Share of the belief, 0..1, all explanations together making 1. */
  readonly share: number;
  /** Root mean square distance at the marks after the correction, mm. */
  readonly rms: number;
  /** How the part then lies turned, radians counter-clockwise. */
  readonly turn: number;
  /** ln of the likelihood of the readings alone: nothing in it of how plausible slip and placement are. */
  readonly logFit: number;
  /** Where the marks then lie, true bed mm, in the order of the observations. */
  readonly places: readonly Point[];
}

export interface Weighed {
  /** No slip: the readings as they are, with the stated or a usual sd, simply worse, or the part changed in size. */
  readonly none: number;
  readonly noisy: number;
  readonly sizeChanged: number;
  /** Slips that say what was meant, most believed first; those that mean the same readings are one. */
  readonly slips: readonly WeighedSlip[];
  /** Share of all slips and arbitrary mistakes at this mark alone, in the order of the observations. */
  readonly marks: readonly number[];
  /** Where the other marks put each mark, true bed mm; undefined where they cannot tell. */
  readonly predicted: readonly (Point | undefined)[];
}

/** The smallest mistake worth the name and the largest one can make on a bed, mm. */
const mistakeSizes = [0.2, 2000] as const;
const octaves = Math.log(mistakeSizes[1] / mistakeSizes[0]);

/** ln of the density of an arbitrary mistake: every order of magnitude is as likely as the next. */
const logMistake = (mistake: Point, rows: 1 | 2): number => {
  const size = Math.max(mistakeSizes[0], Math.hypot(mistake.x, mistake.y));
  return rows === 1
    ? -Math.log(2 * octaves) - Math.log(size)
    : -Math.log(2 * Math.PI * octaves) - 2 * Math.log(size);
};

/**
 * Undefined where nothing can be weighed: no redundancy, or readings that determine no fit under any explanation.
 */
export const weighExplanations = (
  observations: readonly Observation[],
  options: FitOptions,
  typed: TypedReadings,
): Weighed | undefined => {
  const marks = asSupposed(observations, options);
  const sds = expectedSd(options);
  const asRead = suppose(options.model, marks, options);
  const rows = observations.reduce((sum, o) => sum + 2 * o.readings.length, 0);
  if (rows <= unknownsOf[options.model]) return undefined;

  const belief = (supposed: Supposed, prior: number, between = sds, within = sds): number =>
    Math.log(prior) + logEvidence(supposed, between, within) + logPlausible(supposed.placement);
  const impossible = Number.NEGATIVE_INFINITY;
  const none = asRead === undefined ? impossible : belief(asRead, 1);
  const worse = noisySd(options);
  const share = slipPriors.noisy / 3;
  const noisy =
    asRead === undefined
      ? impossible
      : logSum([
          belief(asRead, share, worse, sds),
          belief(asRead, share, sds, worse),
          belief(asRead, share, worse, worse),
        ]);
  const sizeChanged = sizeEvidence(marks, options, sds);

  const perMark: number[][] = observations.map(() => []);
  const without = marks.map((_, mark) => supposeWithout(options.model, marks, options, mark));
  const arbitrary = arbitraryMistakes(marks, options, sds, without);
  for (const { mark, log } of arbitrary) perMark[mark]!.push(log);

  const reach = hopeless * Math.max(...sds.map((s) => s.factor));
  const slips = new Map<
    string,
    { slip: SlipExplanation; best: number; logs: number[]; supposed: Supposed }
  >();
  const means = marks.map((m) => meanReading(m.readings));
  const possible: CouldBe = (mark, reading, meant) => {
    const rest = without[mark];
    if (rest === undefined) return true;
    const { readings } = marks[mark]!;
    const to = typed.toTrue(meant, mark, reading);
    const was = readings[reading]!;
    const x = means[mark]!.x + (to.x - was.x) / readings.length - rest.predicted.x;
    const y = means[mark]!.y + (to.y - was.y) / readings.length - rest.predicted.y;
    return x * x + y * y <= (reach * rest.largestSd) ** 2;
  };
  for (const slip of explanationsFor(observations, typed, possible)) {
    const supposed = suppose(options.model, correct(marks, slip, typed), options);
    if (supposed === undefined) continue;
    const log = belief(supposed, slip.prior);
    if (slip.marks.length === 1) perMark[slip.marks[0]!]!.push(log);
    const key = meaning(slip);
    const same = slips.get(key);
    if (same === undefined) slips.set(key, { slip, best: log, logs: [log], supposed });
    else {
      same.logs.push(log);
      if (log > same.best) {
        same.slip = slip;
        same.best = log;
      }
    }
  }

  const totals = [...slips.values()].map((s) => ({ ...s, log: logSum(s.logs) }));
  const all = logSum([none, noisy, sizeChanged, ...arbitrary.map((a) => a.log), ...totals.map((s) => s.log)]);
  if (!Number.isFinite(all)) return undefined;
  return {
    none: Math.exp(none - all),
    noisy: Math.exp(noisy - all),
    sizeChanged: Math.exp(sizeChanged - all),
    slips: totals
      .map(({ slip, log, supposed }) => ({ slip, share: Math.exp(log - all), supposed }))
      .filter(({ share }) => share > negligibleShare)
      .sort((a, b) => b.share - a.share)
      .map(({ slip, share, supposed }) => {
        const corrected = correct(marks, slip, typed);
        return {
          slip,
          share,
          rms: rmsOf(supposed, corrected),
          turn: turnOfPlacement(supposed.placement),
          logFit: logEvidence(supposed, sds, sds),
          places: corrected.map(({ design }) => placed(supposed.placement, design)),
        };
      }),
    marks: perMark.map((logs) => Math.exp(logSum(logs) - all)),
    predicted: without.map((w) => w?.predicted),
  };
};

const negligibleShare = 1e-6;
/**
 * A corrected reading this many sds from where all other marks put it explains nothing: exp(-50) beside the arbitrary
 * mistake at the same mark, which is always among the explanations.
 */
const hopeless = 10;

/** The marks with the readings, or the design, that a slip says were meant. */
export const correct = (
  marks: readonly SupposedMark[],
  slip: SlipExplanation,
  { toTrue }: TypedReadings,
): SupposedMark[] =>
  marks.map((mark, k) => {
    const meant = slip.meant.get(k);
    return {
      ...mark,
      ...(slip.mirroredDesign ? { design: { x: -mark.design.x, y: mark.design.y } } : {}),
      ...(meant === undefined ? {} : { readings: meant.map((p, reading) => toTrue(p, k, reading)) }),
    };
  });

const meaning = (slip: SlipExplanation): string =>
  (slip.mirroredDesign ? 'mirrored ' : '') +
  ([...slip.meant]
    .map(
      ([mark, readings]) =>
        `${mark}: ${readings.map((p) => `${p.x.toFixed(6)} ${p.y.toFixed(6)}`).join(', ')}`,
    )
    .join('; ') || slip.kind);

const rmsOf = (supposed: Supposed, marks: readonly SupposedMark[]): number => {
  let sum = 0;
  const { centre, anchor, linear } = supposed.placement;
  for (const mark of marks) {
    const to = meanReading(mark.readings);
    const u = mark.design.x - centre.x;
    const v = mark.design.y - centre.y;
    sum += (to.x - anchor.x - linear[0] * u - linear[2] * v) ** 2;
    sum += (to.y - anchor.y - linear[1] * u - linear[3] * v) ** 2;
  }
  return Math.sqrt(sum / marks.length);
};

/** A mistake of any size at one coordinate, one mark or one of several readings. */
const arbitraryMistakes = (
  marks: readonly SupposedMark[],
  options: FitOptions,
  sds: SdGrid,
  withoutMark: readonly (SupposedWithout | undefined)[],
): { mark: number; log: number }[] => {
  const found: { mark: number; log: number }[] = [];
  const add = (mark: number, prior: number, rows: 1 | 2, without: SupposedWithout | undefined) => {
    if (without === undefined) return;
    const { mistake, logSpread, placement } = without;
    const log =
      logEvidence(without, sds, sds) + logSpread + logMistake(mistake, rows) + logPlausible(placement);
    found.push({ mark, log: Math.log(prior) + log });
  };
  const squares = withoutMark.map((w) => w?.weightedSquares ?? 0);
  const hopelessSquares = Math.min(...squares) + (hopeless * Math.max(...sds.map((s) => s.factor))) ** 2;
  marks.forEach((supposed, mark) => {
    const coordinate = slipPriors.plainCoordinate / (2 * marks.length);
    // Where the others contradict each other even without the mark, no mistake at one coordinate of it explains them.
    if (squares[mark]! <= hopelessSquares)
      for (const axis of ['x', 'y'] as const)
        add(mark, coordinate, 1, supposeWithout(options.model, marks, options, mark, axis));
    add(mark, slipPriors.plainMark / marks.length, 2, withoutMark[mark]);
    if (supposed.readings.length > 1) found.push(...oneOfSeveral(marks, options, sds, mark));
  });
  return found;
};

const oneOfSeveral = (
  marks: readonly SupposedMark[],
  options: FitOptions,
  sds: SdGrid,
  mark: number,
): { mark: number; log: number }[] => {
  const { readings } = marks[mark]!;
  const unit = options.readingSd ?? 1;
  return readings.flatMap((p, k) => {
    const others = readings.filter((_, i) => i !== k);
    const rest = suppose(
      options.model,
      marks.map((m, i) => (i === mark ? { ...m, readings: others } : m)),
      options,
    );
    if (rest === undefined) return [];
    const mean = meanReading(others);
    const mistake = { x: p.x - mean.x, y: p.y - mean.y };
    const prior = slipPriors.plainMark / marks.length / readings.length;
    const logSpread = Math.log(unit ** 2 * (1 + 1 / others.length));
    const log =
      Math.log(prior) +
      logEvidence(rest, sds, sds) +
      logSpread +
      logMistake(mistake, 2) +
      logPlausible(rest.placement);
    return [{ mark, log }];
  });
};

/** The part grown or shrunk: the next richer model with one more value, which is small. */
const sizeEvidence = (marks: readonly SupposedMark[], options: FitOptions, sds: SdGrid): number => {
  if (options.model !== 'rigid') return Number.NEGATIVE_INFINITY;
  const grown = suppose('similarity', marks, options);
  if (grown === undefined || grown.degrees < 0) return Number.NEGATIVE_INFINITY;
  const { linear, centre } = grown.placement;
  const change = Math.log(Math.hypot(linear[0], linear[1]));
  let spread = 0;
  for (const { design, readings } of marks)
    spread += readings.length * ((design.x - centre.x) ** 2 + (design.y - centre.y) ** 2);
  const sdOfChange = (options.readingSd ?? 1) / Math.sqrt(spread);
  const turned = logPlausible({ ...grown.placement, model: 'rigid' });
  return (
    Math.log(slipPriors.sizeChanged) +
    logEvidence(grown, sds, sds) +
    Math.log(sdOfChange) +
    logSizeDensity(change) +
    turned
  );
};
