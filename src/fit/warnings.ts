/** What the operator must be told about a fit, in words. */

import { decompose, determinant } from '../geometry/affine.js';
import { distance, type Point } from '../geometry/point.js';
import type { Model } from '../job/job.js';
import type { Remedy, Warning } from '../job/messages.js';
import type { TouchReadings } from '../marks/touches.js';
import { ambiguityTolerance, patternWarning } from './doubts/ambiguity-words.js';
import { collinearWarning } from './doubts/collinear.js';
import { leftOverWords, possibleSds } from './doubts/left-over.js';
import { shareOfSize, sizeWarnings, testModels } from './doubts/model-choice.js';
import {
  changeKey,
  mirrorRemedies,
  nothingStated,
  readAgainAt,
  readLargest,
  type Stated,
  unsaidOrientation,
  withTypedPosition,
} from './doubts/remedies.js';
import { type OddReading, oddReadings, oddReadingWarning } from './doubts/repeats.js';
import { mostSuspect, referenceDegrees, suspectLevel } from './doubts/suspicion.js';
import type { Fit, FitOptions, FitOutcome, Observation } from './fit.js';
import { axisOfSign, type TypedReadings } from './slips/explanations.js';
import { clause, eitherWarning, likelySlipWarning, type SlipWords } from './slips/slip-words.js';
import { findSlips, isMirror, type SlipFinding } from './slips/slips.js';
import type { WeighedSlip } from './slips/weigh.js';
import { typedStep } from './solve/last-digit.js';
import { marksNeeded } from './solve/solvable.js';
import { meanReading, readingScale, touchRepeats } from './solve/uncertainty.js';
import { fitsTouches } from './touches/touch-pattern.js';
import { touchesUnchecked, touchWarnings } from './touches/touch-warnings.js';
import { inWords, listed, marksNamed, mm, oneIn } from './words.js';

export interface ReviewContext {
  /** Display coordinates as typed, per mark, in the order of its readings. Absent: the readings themselves. */
  readonly typed?: ReadonlyMap<string, readonly Point[]>;
  /** Display coordinates of a reading of a mark, both by number, -> true bed mm. Absent: they are the same. */
  readonly toTrue?: (display: Point, mark: number, reading: number) => Point;
  /** What the job says of face and axes; default face up, y up, neither of them stated. */
  readonly stated?: Stated;
  /** What the fit was made of beside the marks. */
  readonly touches?: readonly TouchReadings[];
}

/** A chance of the residuals, or of one of them, below this is reason to weigh the likely slips. */
const searchBelow = 0.01;
/** Without a stated sd: marks that agree no better than this are reason too, mm rms. Common practice, no source. */
const searchAbove = 0.2;
/** Belief in a slip that makes it worth a warning even where no single residual stands out. */
const saidAbove = 0.9;
/** Belief in one explanation that makes it worth naming as possible. */
const namedAbove = 0.1;

/**
 * All warnings of a fit, most urgent first: slips and suspect readings, disagreement, missing checks, changed size,
 * ambiguous pattern, assumptions. Throws RangeError where `typed` lacks a mark or has another number of readings.
 */
export const reviewFit = (
  observations: readonly Observation[],
  options: FitOptions,
  outcome: FitOutcome,
  context: ReviewContext = {},
): Warning[] => {
  const { touches = [], stated = nothingStated } = context;
  if (observations.length + touches.length === 0) return [];
  const typed = typedReadings(observations, context);
  const words: SlipWords = { observations, typed, stated };
  const odd = oddReadings(observations, options, options.displayStep ?? typedStep(typed.typed.flat()));
  const fit = outcome.ok ? outcome.fit : undefined;
  const scale = readingScale(observations, options, touchRepeats(touches));
  const suspect = fit && mostSuspect(fit, referenceDegrees(options, scale.scatterDegrees));
  // An sd from repeated readings alone knows nothing of the marks' own errors: no ground to accuse a single mark.
  const fair = options.readingSd !== undefined || scale.scatterDegrees === 0;
  const stands = fair && suspect !== undefined && suspect.pValue < suspectLevel;
  // Slips are weighed among the marks alone.
  const isTouch = touches.some((t) => t.touch === suspect?.mark);
  const marksAsked = touches.length === 0 || (observations.length > 1 && !isTouch);
  const line =
    fit === undefined || options.model !== 'affine' ? undefined : collinearWarning(observations, fit);
  // Across a line of marks an affine fit follows errors of reading to any size; along it a rigid one tells slips as well.
  const searched: FitOptions = line === undefined ? options : { ...options, model: 'rigid' };
  const finding =
    marksAsked && worthSearching(fit, options, suspect?.pValue ?? 1, odd.length > 0)
      ? findSlips(observations, searched, typed)
      : undefined;

  const warnings: Warning[] = [];
  // That nothing can be told from it is said by the failure.
  if (fit === undefined && sameReading(observations)?.length === observations.length) return warnings;
  if (finding !== undefined) warnings.push(...slipWarnings(finding, words, fit, stands, odd));
  const named = new Set(warnings.flatMap((w) => w.marks ?? []));
  for (const each of odd) if (!named.has(each.mark)) warnings.push(oddReadingWarning(each, observations));
  if (fit === undefined) return warnings;
  if (line !== undefined) warnings.push(line);
  const sizes = line !== undefined ? [] : sizeWarnings(observations, options, fit, stated, touches);
  // A part of another size makes the touches farthest out look wrong; with marks alone the slips have weighed that.
  const bySize =
    sizes.length > 0 && touches.length > 0 ? shareOfSize(observations, options, fit, touches) : 0;
  const squares = fit.consistency?.chiSquare ?? fit.redundancy;
  const byOne = suspect === undefined ? 0 : suspect.normalized ** 2 / squares;
  const accused = stands && warnings.length === 0 && byOne > bySize ? suspect : undefined;
  warnings.push(...touchWarnings(fit, outcome, accused));
  const hasSlip = warnings.some((w) => w.code !== 'ambiguous-pattern');
  if (
    line === undefined &&
    determinant(fit.matrix) < 0 &&
    !warnings.some((w) => w.code === 'mirrored' || w.kind === 'face-down')
  )
    warnings.push(mirroredFit(stated));
  // A part of another size is the cause, the disagreement its effect.
  if (!hasSlip) warnings.push(...sizes.map((size) => besideSlip(size, finding, words)));
  if (fit.consistency?.consistent === false) warnings.push(marksDisagree(observations, options, fit, stated));
  const sd = sdTooLarge(options, fit, stated);
  if (sd !== undefined) warnings.push(sd);
  if (fit.redundancy === 0)
    warnings.push(touches.length > 0 ? touchesUnchecked(fit) : noRedundancy(fit.model, observations));
  const possible = touches.length === 0 ? undefined : fitsTouches(fit, observations, touches, options);
  const ambiguous = patternWarning(observations, ambiguityTolerance(options), possible);
  if (ambiguous !== undefined) warnings.push(ambiguous);
  const unstated = touches.length > 0 || observations.some((o) => o.sd === undefined);
  if (options.readingSd === undefined && unstated) warnings.push(sdAssumed(fit, scale.scatterDegrees));
  const { rotation } = decompose(fit.matrix);
  return warnings.map((warning) => withUnsaid(warning, stated, rotation));
};

/** Marks that have one reading in common, to the last digit; undefined for none. */
const sameReading = (observations: readonly Observation[]): string[] | undefined => {
  const at = new Map<string, string[]>();
  for (const { mark, readings } of observations) {
    const { x, y } = meanReading(readings);
    const key = `${x.toFixed(6)} ${y.toFixed(6)}`;
    at.set(key, [...(at.get(key) ?? []), mark]);
  }
  return [...at.values()].find((marks) => marks.length > 1);
};

const withUnsaid = (warning: Warning, stated: Stated, turn: number): Warning => {
  const unsaid = warning.otherFace ? unsaidOrientation(stated, turn) : undefined;
  return unsaid === undefined ? warning : { ...warning, unsaid };
};

const typedReadings = (observations: readonly Observation[], context: ReviewContext): TypedReadings => {
  const { typed, toTrue = (p: Point) => p } = context;
  if (typed === undefined) return { typed: observations.map((o) => o.readings), toTrue: (p) => p };
  return {
    typed: observations.map(({ mark, readings }) => {
      const asTyped = typed.get(mark);
      if (asTyped?.length !== readings.length)
        throw new RangeError(
          `mark ${mark} has ${readings.length} readings but ${asTyped?.length ?? 0} as typed`,
        );
      return asTyped;
    }),
    toTrue,
    axesAssumed: context.stated?.axesAssumed ?? false,
  };
};

const worthSearching = (
  fit: Fit | undefined,
  options: FitOptions,
  suspectChance: number,
  oddRepeats: boolean,
): boolean => {
  if (fit === undefined || oddRepeats) return true;
  if (fit.redundancy === 0) return false;
  if (suspectChance < searchBelow) return true;
  if (fit.consistency !== undefined && fit.consistency.pValue < searchBelow) return true;
  if (options.readingSd === undefined && fit.rms > searchAbove) return true;
  return determinant(fit.matrix) < 0 || Math.abs(determinant(fit.matrix) - 1) > 0.05;
};

const slipWarnings = (
  finding: SlipFinding,
  words: SlipWords,
  fit: Fit | undefined,
  stands: boolean,
  odd: readonly OddReading[],
): Warning[] => {
  const { likely, others, suspects, slipShare, mirroredShare } = finding;
  // Typed positions that mirror the marks explain it as well: no slip of the readings alone is the likely one then.
  const typedMirrored = words.stated.typed?.mirrored ?? [];
  const isOpen =
    likely !== undefined &&
    typedMirrored.length > 0 &&
    likely.slip.alsoSwapped === undefined &&
    isMirror(likely.slip, words.observations);
  if (likely !== undefined && !isOpen) return [likelySlipWarning(likely, finding, words, fit?.rms)];
  if (finding.either !== undefined) return [eitherWarning(finding.either, finding, words)];
  if (isOpen || mirroredShare > saidAbove) {
    const found = [...(likely === undefined ? [] : [likely]), ...others];
    const isOfY = ({ slip }: WeighedSlip): boolean =>
      slip.kind === 'sign' && axisOfSign(slip, words.typed.typed) === 'y';
    // Which way y counts is asked first where the job does not say it.
    if (words.stated.axesAssumed && found[0]?.slip.kind !== 'axes-swapped')
      found.sort((a, b) => Number(isOfY(b)) - Number(isOfY(a)));
    const clauses = found.slice(0, 4).map((o) => clause(o.slip, words));
    const causes = [...typedMirrored.map(({ cause }) => cause), ...clauses];
    const possible = causes.length === 0 ? '' : ` Possible: ${listed(causes, 'or')}.`;
    const message = `The readings fit a mirror image of the marks.${possible} Nothing was changed: look at the part.`;
    return [{ code: 'mirrored', message, remedies: mirrorRemedies(words.stated, found[0]?.slip) }];
  }
  const possible = others.filter((o) => o.share > namedAbove).slice(0, 3);
  const either =
    possible.length === 0
      ? ''
      : ` Possible: ${listed(
          possible.map((o) => clause(o.slip, words)),
          'or',
        )}.`;
  const otherwise = Math.max(finding.sizeChangedShare, finding.noisyShare);
  const explained = otherwise > slipShare && otherwise > 0.5;
  if (suspects.length === 0 || explained || !(stands || slipShare > saidAbove)) return [];
  const oddAt = odd.find((o) => suspects.length === 1 && o.mark === suspects[0]);
  if (oddAt !== undefined) {
    const { predicted } = finding;
    return [oddReadingWarning(oddAt, words.observations, { predicted, possible: either })];
  }
  const same = sameReading(words.observations);
  if (same?.some((mark) => suspects.includes(mark))) {
    const { length } = suspects.filter((mark) => same.includes(mark));
    const which =
      length === 1
        ? `: by the others it is that of ${listed(same.filter((mark) => !suspects.includes(mark)))}`
        : '';
    const message = `${marksNamed(same).replace(/^m/, 'M')} have the same reading${which}. One reading was entered for several marks.`;
    return [{ code: 'suspect-reading', marks: suspects, message, remedies: [readAgainAt(suspects)] }];
  }
  const exchanged = possible.length > 0 && possible.every((o) => o.slip.marks.length > 1);
  const message = suspectMessage(finding, words, either, exchanged);
  const remedies = withTypedPosition(suspects, words.stated, [readAgainAt(suspects)]);
  return [{ code: 'suspect-reading', marks: suspects, message, remedies }];
};

/** Belief in a slip that makes it worth naming beside a part of another size. */
const besideSize = 0.02;

/** A part of another size, and the slip that would explain the readings, too. */
const besideSlip = (size: Warning, finding: SlipFinding | undefined, words: SlipWords): Warning => {
  const slip = finding?.others.find(({ share }) => share > besideSize);
  if (slip === undefined) return size;
  return { ...size, message: `${size.message} This would explain it, too: ${clause(slip.slip, words)}.` };
};

const suspectMessage = (
  { suspects, predicted, sizeChangedShare }: SlipFinding,
  { observations, stated }: SlipWords,
  either: string,
  exchanged: boolean,
): string => {
  const size = sizeChangedShare > namedAbove ? ' Or the part came back in another size.' : '';
  const mistyped = suspects.flatMap((mark) => stated.typed?.mistyped(mark)?.cause ?? []);
  const asTyped = mistyped.length === 0 ? '' : ` Probably ${listed(mistyped, 'or')}.`;
  const again = `${either}${size}${asTyped}${mistyped.length === 0 ? ` Read ${marksNamed(suspects)} again.` : ''}`;
  if (exchanged) return `Readings were probably taken one for the other.${again}`;
  if (suspects.length === 1) {
    const { readings } = observations.find((o) => o.mark === suspects[0])!;
    const where =
      predicted === undefined
        ? ''
        : `: it was read ${mm(distance(meanReading(readings), predicted))} from where they put it`;
    return `${marksNamed(suspects).replace(/^./, (c) => c.toUpperCase())} does not fit the others${where}.${again}`;
  }
  return suspects.length === observations.length
    ? `One reading is probably wrong, and nothing tells which: ${listed(suspects, 'or')}.${again}`
    : `One reading is probably wrong: ${listed(suspects, 'or')}, and nothing tells which.${again}`;
};

const mirroredFit = (stated: Stated): Warning => ({
  code: 'mirrored',
  message:
    'The fit turns the drawing into its mirror image. Look at the part: it may lie on the other face than the job says, the display may count y the other way, or marks are taken one for the other.',
  remedies: mirrorRemedies(stated),
});

const marksDisagree = (
  observations: readonly Observation[],
  options: FitOptions,
  fit: Fit,
  stated: Stated,
): Warning => {
  const { chiSquare, pValue } = fit.consistency!;
  const times = Math.sqrt(chiSquare / fit.redundancy);
  const against =
    options.readingSd === undefined
      ? 'the repeated readings at single marks suggest'
      : `an sd of ${mm(options.readingSd)} explains`;
  const turn = options.model === 'shift' ? testModels('shift', 'rigid', observations, options) : undefined;
  const isTurned = turn !== undefined && turn.pValue < suspectLevel;
  const so =
    fit.leftOver === undefined
      ? `From here on an sd of ${mm(fit.sd.used!)} is used, known from ${inWords(fit.redundancy)} ${fit.redundancy === 1 ? 'check' : 'checks'} only.`
      : `Noise does not explain that; ${leftOverWords(fit.leftOver)} does, and counts in the verdict.`;
  const cure = isTurned
    ? ' With a turn allowed (model rigid) they agree better.'
    : fit.redundancy === 1
      ? ` One more ${fit.touches === undefined ? 'mark' : 'reading'} would tell which of them is wrong.`
      : '';
  return {
    code: 'marks-disagree',
    message: `The ${fit.touches === undefined ? 'marks' : 'readings'} disagree ${times.toFixed(times < 10 ? 1 : 0)} times as much as ${against} (by chance: ${oneIn(pValue)}). ${so}${cure}`,
    remedies: isTurned
      ? [changeKey('fit.model', 'rigid', ', which lets the part lie turned', stated)]
      : [...bowStated(fit, stated), ...worseThanStated(options, fit, stated), readLargest(fit)],
  };
};

/** A pointer whose readings agree to this is a usual one, mm; no display and eye do better than the lower. Common practice, no source. */
const usualSd = [0.02, 0.2] as const;

/** Readings that agree as readings do, while the job claims what no pointer does: reading again never mends that. */
const worseThanStated = ({ readingSd }: FitOptions, fit: Fit, stated: Stated): Remedy[] => {
  const found = fit.sd.used ?? 0;
  if (readingSd === undefined || readingSd >= usualSd[0] || found > usualSd[1]) return [];
  if (fit.redundancy < fewestChecks) return [];
  return [sdRemedy(found, 'stated', readingSd, stated)];
};

/** A bow that explains the readings, as large as it may be: two sds more than it is found. */
const bowStated = ({ leftOver }: Fit, stated: Stated): Remedy[] => {
  if (leftOver?.cause !== 'bow') return [];
  const size = Math.abs(leftOver.amounts[0]!) + possibleSds * Math.sqrt(leftOver.covariance[0]![0]!);
  return [changeKey('check.bow', size.toFixed(2), ', if the panel is bowed in its plane', stated)];
};

/** Fewer checks than this tell nothing of an sd. */
const fewestChecks = 2;

const sdRemedy = (found: number, word: string, was: number, stated: Stated): Remedy => {
  const value = found.toPrecision(found < 0.1 ? 1 : 2);
  return changeKey(
    'fit.reading-sd',
    value,
    `, which is what the readings show: the ${word} ${mm(was)} is not what a pointer does`,
    stated,
  );
};

/** Larger than any pointer strays, mm. Common practice, no source. */
const largestSd = 1;
/** Readings that agree so well by chance, with the stated sd, are none. */
const tooWell = 0.001;

/** A stated sd that the readings, and any pointer, contradict: the error it makes up hides whatever is wrong. */
const sdTooLarge = ({ readingSd }: FitOptions, fit: Fit, stated: Stated): Warning | undefined => {
  const { consistency, redundancy } = fit;
  if (readingSd === undefined || readingSd <= largestSd || consistency === undefined) return undefined;
  if (redundancy < fewestChecks || consistency.pValue < 1 - tooWell) return undefined;
  const found = readingSd * Math.sqrt(consistency.chiSquare / redundancy);
  return {
    code: 'unlikely-sd',
    message: `A reading-sd of ${mm(readingSd)} is stated, but the readings agree to ${mm(found)}: no pointer strays so far. Everything that follows rests on the stated one.`,
    remedies: [sdRemedy(found, 'stated', readingSd, stated)],
  };
};

const noRedundancy = (model: Model, observations: readonly Observation[]): Warning => {
  const count = observations.length;
  const article = model === 'affine' ? 'an' : 'a';
  const more = ['', 'second', 'third', 'fourth'][marksNeeded[model]] ?? 'further';
  return {
    code: 'no-redundancy',
    message: `${count === 1 ? 'One mark' : `${inWords(count).replace(/^./, (c) => c.toUpperCase())} marks`} and ${article} ${model} fit: every residual is zero whatever went wrong, so a mistake in a reading cannot be known. A ${more} mark, far from the ${count === 1 ? 'first' : 'others'}, would give a check; a repeated reading would not.`,
  };
};

const sdAssumed = (fit: Fit, scatterDegrees: number): Warning => {
  const cure = 'State reading-sd, from the machine profile or from repeated readings.';
  if (fit.sd.used === undefined)
    return {
      code: 'sd-assumed',
      message: `No reading-sd is stated and the readings leave nothing to estimate it from: no uncertainty can be claimed. ${cure}`,
    };
  const from = fit.sd.usedDof ?? 0;
  const basis =
    fit.redundancy > 0 && scatterDegrees > 0
      ? 'the residuals and the repeated readings'
      : scatterDegrees > 0
        ? 'the repeated readings alone, which know nothing of the marks'
        : 'the residuals';
  const weak = from <= 2 ? ', which is hardly a measurement' : '';
  return {
    code: 'sd-assumed',
    message: `No reading-sd is stated: ${mm(fit.sd.used)} per axis was estimated from ${basis} (${inWords(from)} ${from === 1 ? 'degree' : 'degrees'} of freedom${weak}). ${cure}`,
  };
};
