/** What the operator must be told about a fit, in words. */

import { determinant } from '../geometry/affine.js';
import type { Point } from '../geometry/point.js';
import type { Model } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { ambiguityWarning } from './ambiguity-words.js';
import type { Fit, FitOptions, FitOutcome, Observation } from './fit.js';
import { sizeWarnings, testModels } from './model-choice.js';
import { oddReadings, oddReadingWarning } from './repeats.js';
import type { TypedReadings } from './slips/explanations.js';
import { clause, likelySlipWarning, type SlipWords } from './slips/slip-words.js';
import { findSlips, type SlipFinding } from './slips/slips.js';
import { marksNeeded } from './solvable.js';
import { mostSuspect, referenceDegrees, suspectLevel } from './suspicion.js';
import { readingScale } from './uncertainty.js';
import { inWords, listed, marksNamed, mm, oneIn } from './words.js';

export interface ReviewContext {
  /** Display coordinates as typed, per mark, in the order of its readings. Absent: the readings themselves. */
  readonly typed?: ReadonlyMap<string, readonly Point[]>;
  /** Display coordinates -> true bed mm. Absent: they are the same. */
  readonly toTrue?: (display: Point) => Point;
  /** Which face the job says is up; default up. */
  readonly face?: 'up' | 'down';
}

/** Consistency below this, or a suspect reading, is reason to weigh the likely slips. */
const searchBelow = 0.01;
/** Belief in a slip that makes it worth a warning even where no single residual stands out. */
const saidAbove = 0.9;

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
  if (observations.length === 0) return [];
  const typed = typedReadings(observations, context);
  const words: SlipWords = { observations, typed, face: context.face ?? 'up' };
  const odd = oddReadings(observations, options);
  const fit = outcome.ok ? outcome.fit : undefined;
  const scale = readingScale(observations, options);
  const suspect = fit && mostSuspect(fit, referenceDegrees(options, scale.scatterDegrees));
  const stands = suspect !== undefined && suspect.pValue < suspectLevel;
  const finding = worthSearching(fit, options, stands || odd.length > 0)
    ? findSlips(observations, options, typed)
    : undefined;

  const warnings: Warning[] = [];
  if (finding !== undefined) warnings.push(...slipWarnings(finding, words, fit, stands, odd.length > 0));
  const named = new Set(warnings.flatMap((w) => w.marks ?? []));
  for (const each of odd) if (!named.has(each.mark)) warnings.push(oddReadingWarning(each, observations));
  if (fit === undefined) return warnings;
  if (determinant(fit.matrix) < 0 && !warnings.some((w) => w.code === 'mirrored' || w.kind === 'face-down'))
    warnings.push(mirroredFit);
  if (fit.consistency?.consistent === false) warnings.push(marksDisagree(observations, options, fit));
  if (fit.redundancy === 0) warnings.push(noRedundancy(fit.model, observations));
  const slipSaid = warnings.some((w) => w.code === 'likely-slip' || w.code === 'suspect-reading');
  const changed = finding === undefined || finding.sizeChangedShare > finding.slipShare;
  if (changed && !slipSaid) warnings.push(...sizeWarnings(observations, options, fit));
  const ambiguous = ambiguityWarning(observations, options, fit);
  if (ambiguous !== undefined) warnings.push(ambiguous);
  if (options.readingSd === undefined && observations.some((o) => o.sd === undefined))
    warnings.push(sdAssumed(fit, scale.scatterDegrees));
  return warnings;
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
  };
};

const worthSearching = (fit: Fit | undefined, options: FitOptions, flagged: boolean): boolean => {
  if (fit === undefined || flagged) return true;
  if (fit.redundancy === 0) return false;
  if (fit.consistency !== undefined && fit.consistency.pValue < searchBelow) return true;
  if (options.readingSd === undefined) return true;
  return determinant(fit.matrix) < 0 || Math.abs(determinant(fit.matrix) - 1) > 0.05;
};

const slipWarnings = (
  finding: SlipFinding,
  words: SlipWords,
  fit: Fit | undefined,
  stands: boolean,
  oddRepeats: boolean,
): Warning[] => {
  const { likely, others, suspects, slipShare, mirroredShare } = finding;
  if (likely !== undefined) return [likelySlipWarning(likely, finding, words, fit?.rms)];
  const possible = others.slice(0, 3).map((o) => clause(o.slip, words));
  const either = possible.length === 0 ? '' : ` Possible: ${listed(possible, 'or')}.`;
  if (mirroredShare > saidAbove)
    return [
      {
        code: 'mirrored',
        message: `The readings fit a mirror image of the marks.${either} Nothing was changed: look at the part.`,
      },
    ];
  if (oddRepeats && slipShare <= saidAbove) return [];
  if (!stands && slipShare <= saidAbove) return [];
  if (suspects.length === 0) return [];
  const missed =
    finding.mistake === undefined ? '' : `: it was read ${mm(finding.mistake)} from where they put it`;
  const all = suspects.length === words.observations.length && suspects.length > 1;
  const which = all
    ? 'Nothing tells which one'
    : suspects.length === 1
      ? `Mark ${suspects[0]} does not fit the others`
      : `It is ${listed(suspects, 'or')}; nothing tells which`;
  return [
    {
      code: 'suspect-reading',
      marks: suspects,
      message: all
        ? `One reading is probably wrong. ${which}: each of ${listed(suspects)} could be it.${either} Read them again.`
        : suspects.length === 1
          ? `${which}${missed}.${either} Read mark ${suspects[0]} again.`
          : `One reading is probably wrong. ${which}.${either} Read ${marksNamed(suspects)} again.`,
    },
  ];
};

const mirroredFit: Warning = {
  code: 'mirrored',
  message:
    'The fit turns the drawing into its mirror image. Look at the part: it may lie on the other face than the job says, or marks are taken one for the other.',
};

const marksDisagree = (observations: readonly Observation[], options: FitOptions, fit: Fit): Warning => {
  const { chiSquare, pValue } = fit.consistency!;
  const times = Math.sqrt(chiSquare / fit.redundancy);
  const against =
    options.readingSd === undefined
      ? 'the repeated readings at single marks suggest'
      : `an sd of ${mm(options.readingSd)} explains`;
  const turn = options.model === 'shift' ? testModels('shift', 'rigid', observations, options) : undefined;
  const cure =
    turn !== undefined && turn.pValue < suspectLevel
      ? ' With a turn allowed (model rigid) they agree better.'
      : fit.redundancy === 1
        ? ' One more mark would tell which of them is wrong.'
        : '';
  return {
    code: 'marks-disagree',
    message: `The marks disagree ${times.toFixed(1)} times as much as ${against} (by chance: ${oneIn(pValue)}). From here on an sd of ${mm(fit.sd.used!)} is used, known from ${inWords(fit.redundancy)} ${fit.redundancy === 1 ? 'check' : 'checks'} only.${cure}`,
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
      message: `No reading-sd is stated and the marks leave nothing to estimate it from: no uncertainty can be claimed. ${cure}`,
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
