/** From weighed explanations to what is said: a likely slip, a suspect reading, a mirror image, or nothing. */
import { distance, type Point } from '../../geometry/point.js';
import { adjust } from '../adjust.js';
import type { FitOptions, Observation } from '../fit.js';
import { asSupposed } from './evidence.js';
import { axisOfSign, type SlipExplanation, type TypedReadings } from './explanations.js';
import { correct, type Weighed, type WeighedSlip, weighExplanations } from './weigh.js';

/** An explanation is offered as the likely one above this share of the belief, and as one of several above the lower. */
export const offeredAbove = 0.85;
const mentionedAbove = 0.02;
/**
 * The same for slips of several marks: what they have against each other is mostly how the part would lie turned, which
 * is a guess and no measurement.
 */
const turnedMentionedAbove = 1e-4;
/** A fit after a correction that is less probable than this does not explain the readings. */
const explainsAbove = 0.001;
/** After a correction without a stated sd the marks must agree to this, mm rms. Common practice, no source. */
const agreesWithin = 1.5;

export interface SlipFinding {
  /** The slip to offer; undefined when none explains the readings or several do as well. */
  readonly likely?: WeighedSlip;
  /** Slips that fit the readings as well as the likely one and place the part differently, most believed first. */
  readonly asWell?: readonly WeighedSlip[];
  /** Explanations between which only the way the part lies would decide; then none of them is likely. */
  readonly either?: readonly WeighedSlip[];
  /** Other slips worth naming, most believed first. */
  readonly others: readonly WeighedSlip[];
  /** Belief that some single reading, or all of them together, were taken or typed wrongly. */
  readonly slipShare: number;
  /** Belief that the part changed its size instead, or that all readings are simply worse than stated. */
  readonly sizeChangedShare: number;
  readonly noisyShare: number;
  /** Marks on which the suspicion rests, most suspect first; empty when it rests on none in particular. */
  readonly suspects: readonly string[];
  /** Where the other marks put the first of them, true bed mm. */
  readonly predicted?: Point;
  /** Belief that the whole job is a mirror image: face down, axes exchanged, or one axis counted the other way. */
  readonly mirroredShare: number;
}

/** Undefined where nothing could be told apart: no redundancy. */
export const findSlips = (
  observations: readonly Observation[],
  options: FitOptions,
  typed: TypedReadings,
): SlipFinding | undefined => {
  const weighed = weighExplanations(observations, options, typed);
  if (weighed === undefined) return undefined;
  const explaining = weighed.slips.filter(
    ({ slip, share }) =>
      share > (slip.marks.length > 1 && !slip.order ? turnedMentionedAbove : mentionedAbove) &&
      explains(observations, options, typed, slip),
  );
  const top = explaining[0];
  const suspects = suspectsOf(weighed, observations);
  const predicted = weighed.predicted[observations.findIndex((o) => o.mark === suspects[0])];
  const believed = top !== undefined && top.share > offeredAbove ? top : undefined;
  const same = top === undefined ? [] : equallyGood(top, weighed.slips);
  const proven = same.filter((s) => s === top || explains(observations, options, typed, s.slip));
  const rivals = proven.filter((s) => s !== top);
  const isOpen =
    top !== undefined &&
    rivals.length > 0 &&
    shareOf(proven) > offeredAbove &&
    shareOf(proven.filter(({ slip }) => takesMarksForOthers(slip))) > plainBelow;
  const either =
    isOpen && (believed === undefined || isUndecided(believed, rivals, typed)) ? proven : undefined;
  const likely = either === undefined ? believed : undefined;
  return {
    ...(either === undefined ? {} : { either }),
    ...(likely === undefined ? {} : { likely }),
    ...(likely === undefined || !isOpen ? {} : { asWell: rivals }),
    others: explaining.filter((s) => s !== likely),
    slipShare: Math.max(0, 1 - weighed.none - weighed.noisy - weighed.sizeChanged),
    sizeChangedShare: weighed.sizeChanged,
    noisyShare: weighed.noisy,
    suspects,
    ...(predicted === undefined ? {} : { predicted }),
    mirroredShare: weighed.slips.reduce((sum, s) => sum + (isMirror(s.slip, observations) ? s.share : 0), 0),
  };
};

const shareOf = (slips: readonly WeighedSlip[]): number => slips.reduce((sum, { share }) => sum + share, 0);

/** Belief in marks taken one for the other below which a mirror image alone is meant. */
const plainBelow = 0.1;
/** Ratio of likelihoods below which two explanations fit the readings equally well. */
const asGood = Math.log(20);
/** Placements that differ by less at every mark are one, mm. */
const samePlace = 5;

/**
 * Slips of several marks that fit as well as `top` and place the part differently. A pattern of marks that a mirror or a turn
 * maps onto itself has such: with the mirror's permutation s, "the readings are in the order p" and "they are in the order p s,
 * and the whole is mirrored" suppose the same readings, and only how the part lies tells one from the other.
 */
const equallyGood = (top: WeighedSlip, slips: readonly WeighedSlip[]): WeighedSlip[] => {
  if (!concernsSeveral(top.slip)) return [];
  const found = [top];
  for (const slip of slips) {
    if (slip === top || !concernsSeveral(slip.slip) || slip.logFit < top.logFit - asGood) continue;
    if (slip.slip.order && slip.share < mentionedAbove) continue;
    if (found.every((other) => areApart(other, slip))) found.push(slip);
  }
  return found;
};

const concernsSeveral = ({ marks, mirroredDesign }: SlipExplanation): boolean =>
  marks.length > 1 || mirroredDesign === true;

const areApart = (one: WeighedSlip, other: WeighedSlip): boolean =>
  (one.slip.mirroredDesign ?? false) !== (other.slip.mirroredDesign ?? false) ||
  one.places.some((p, k) => distance(p, other.places[k]!) > samePlace);

const takesMarksForOthers = ({ kind, alsoSwapped }: SlipExplanation): boolean =>
  kind === 'swapped' || kind === 'half-turn' || alsoSwapped !== undefined;

/** Gain of the cosine of the turn, from 1 as drawn to -1 upside down, that outweighs a second cause. */
const moreAsDrawn = 0.5;

/**
 * Two causes at once are seldom, and so is a part that lies far from the way it is drawn: where the believed slip supposes
 * that and a rival does not, belief is a guess about how the part lies. Where the believed one already needs two causes, any
 * other pair of them is as good. Figures that are negative throughout speak for a sign that was typed, or counted, wrongly.
 */
const isUndecided = (believed: WeighedSlip, rivals: readonly WeighedSlip[], typed: TypedReadings): boolean =>
  believed.slip.alsoSwapped !== undefined ||
  rivals.some(
    (other) =>
      Math.cos(other.turn) - Math.cos(believed.turn) > moreAsDrawn ||
      (other.slip.kind === 'sign' && allNegative(typed, axisOfSign(other.slip, typed.typed))),
  );

const allNegative = ({ typed }: TypedReadings, axis: 'x' | 'y'): boolean =>
  typed.flat().every((p) => p[axis] < 0);

/** Face down, axes exchanged, or one axis counted the other way, marks swapped besides or not. */
export const isMirror = (slip: SlipExplanation, observations: readonly Observation[]): boolean =>
  slip.mirroredDesign === true ||
  (slip.marks.length === observations.length && (slip.kind === 'axes-swapped' || slip.kind === 'sign'));

/** The proof by refitting, with everything the real fit asks for. */
const explains = (
  observations: readonly Observation[],
  options: FitOptions,
  typed: TypedReadings,
  slip: SlipExplanation,
): boolean => {
  const outcome = adjust(correctedObservations(observations, typed, slip), options);
  if (!outcome.ok) return false;
  const { consistency, rms } = outcome.fit;
  if (options.readingSd === undefined) return rms <= agreesWithin;
  return consistency === undefined || consistency.pValue >= explainsAbove;
};

export const correctedObservations = (
  observations: readonly Observation[],
  typed: TypedReadings,
  slip: SlipExplanation,
): Observation[] => {
  const corrected = correct(asSupposed(observations), slip, typed);
  return observations.map((o, k) => ({
    ...o,
    design: corrected[k]!.design,
    readings: corrected[k]!.readings,
  }));
};

/** Marks that carry the belief: one when it is nearly all of it, otherwise all with a fair part. */
const suspectsOf = ({ marks, slips }: Weighed, observations: readonly Observation[]): string[] => {
  const shares = [...marks];
  for (const { slip, share } of slips) {
    // Two marks swapped concern both; what concerns all marks points to none.
    if (slip.marks.length > 1 && slip.marks.length < observations.length)
      for (const k of slip.marks) shares[k]! += share;
  }
  const largest = Math.max(...shares);
  if (!(largest > 0)) return [];
  return shares
    .map((share, k) => ({ share, name: observations[k]!.mark }))
    .filter(({ share }) => share > largest / 10)
    .sort((a, b) => b.share - a.share)
    .map(({ name }) => name);
};
