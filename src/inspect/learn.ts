/**
 * What a finished piece adds to what a profile knows of its machine: the kerf, the beam's offset, and how far cuts stray. Each is
 * the mean of before and of the piece by their weights, one over the variance; an sd is pooled by degrees of freedom. What
 * contradicts the profile is told and left out.
 */
import { chiSquareCdf, fCdf } from '../numeric/distributions.js';
import type { CutError } from './cut-error.js';
import type { Predicted } from './predicted.js';

/** What a profile says before. mm. */
export interface KnownMachine {
  readonly kerf?: number;
  readonly kerfSd?: number;
  /** Degrees of freedom behind kerf and its sd; undefined: nobody says, and both count as from two cuts. */
  readonly kerfDof?: number;
  /** Along the display's axes. */
  readonly offset?: readonly [number, number];
  readonly offsetSd?: number;
  readonly cutSd?: number;
  readonly cutSdDof?: number;
}

/** What the piece says, about the figures it was cut with. */
export interface PieceSays {
  readonly error: CutError;
  readonly predicted: Predicted;
  /** What the job reckoned with. */
  readonly kerf: number;
  readonly offset: readonly [number, number];
  /** 1, or -1 where the display counts y downwards. */
  readonly sign: 1 | -1;
  /** sds per axis of what else moves the whole cut: the eye's habit; mm. */
  readonly otherShift: number;
  /** sd of what else changes all gaps alike: a scan's unstated gamma; mm of the kerf. */
  readonly otherKerf: number;
}

export type LearnedKey = 'kerf' | 'beam-offset' | 'cut-sd';

export interface LearnedFigure {
  readonly key: LearnedKey;
  readonly before?: readonly number[];
  readonly piece: readonly number[];
  /** sd of what the piece says, cut-to-cut scatter included. */
  readonly pieceSd: number;
  /** What it becomes; absent: it is left as it is. */
  readonly after?: readonly number[];
  readonly afterSd?: number;
  readonly dof?: number;
  /** Chance of as large a difference; absent where the profile states nothing to hold it against. */
  readonly pValue?: number;
  readonly outcome: 'folded' | 'new' | 'contradicts' | 'no-weight' | 'not-told' | 'other-kerf';
}

/** A difference less likely than this contradicts the profile. */
export const contradictsBelow = 0.01;
/** A figure without degrees of freedom counts as from two cuts. */
const unstatedDof = 1;

export const learnFrom = (known: KnownMachine, piece: PieceSays, force = false): LearnedFigure[] => {
  const kerf = learnKerf(known, piece, force);
  const { offset, cutSd } = learnShift(known, piece, force);
  return [kerf, offset, ...(cutSd === undefined ? [] : [cutSd])];
};

/** The knowledge after the figures that were folded in. */
export const afterLearning = (known: KnownMachine, figures: readonly LearnedFigure[]): KnownMachine => {
  let next = known;
  for (const { key, after, afterSd, dof } of figures) {
    if (after === undefined) continue;
    if (key === 'kerf')
      next = {
        ...next,
        kerf: after[0]!,
        ...(afterSd === undefined ? {} : { kerfSd: afterSd }),
        ...(dof === undefined ? {} : { kerfDof: dof }),
      };
    else if (key === 'beam-offset')
      next = {
        ...next,
        offset: [after[0]!, after[1]!],
        ...(afterSd === undefined ? {} : { offsetSd: afterSd }),
      };
    else next = { ...next, cutSd: after[0]!, ...(dof === undefined ? {} : { cutSdDof: dof }) };
  }
  return next;
};

/** Degrees of freedom of a sum of variances (Welch and Satterthwaite, from memory); undefined: known. */
const dofOf = (parts: readonly { readonly variance: number; readonly dof: number | undefined }[]) => {
  const whole = parts.reduce((sum, { variance }) => sum + variance, 0);
  const rate = parts.reduce(
    (sum, { variance, dof }) => sum + (dof === undefined ? 0 : variance ** 2 / dof),
    0,
  );
  return rate === 0 ? undefined : whole ** 2 / rate;
};

const learnKerf = (
  { kerf: before, kerfSd, kerfDof }: KnownMachine,
  { error, kerf: assumed, otherKerf }: PieceSays,
  force: boolean,
): LearnedFigure => {
  const variance = error.covariance?.[4]?.[4];
  const value = assumed + error.values[4]!;
  const told = error.told[4] === true && variance !== undefined && value > 0;
  const measured = Math.hypot(Math.sqrt(variance ?? 0), otherKerf);
  const piece = { key: 'kerf' as const, piece: [value] };
  if (!told)
    return {
      ...piece,
      pieceSd: measured,
      outcome: 'not-told',
      ...(before === undefined ? {} : { before: [before] }),
    };
  if (before === undefined) return { ...piece, pieceSd: measured, after: [value], outcome: 'new' };
  const own = { ...piece, before: [before], pieceSd: Math.hypot(measured, kerfSd ?? 0) };
  if (Math.abs(assumed - before) > 5e-4 && !force) return { ...own, outcome: 'other-kerf' };
  if (kerfSd === undefined || kerfSd === 0)
    return force ? { ...own, after: [value], outcome: 'folded' } : { ...own, outcome: 'no-weight' };
  const dof = kerfDof ?? unstatedDof;
  const cuts = dof + 1;
  const difference = value - before;
  const spread = kerfSd ** 2 * (1 + 1 / cuts) + measured ** 2;
  const of = dofOf([
    { variance: measured ** 2, dof: error.sd.dof },
    { variance: kerfSd ** 2 * (1 + 1 / cuts), dof: kerfDof },
  ]);
  const pValue = 1 - fCdf(difference ** 2 / spread, 1, of);
  if (pValue < contradictsBelow && !force) return { ...own, pValue, outcome: 'contradicts' };
  // A cut that was measured badly counts as less than one.
  const weight = kerfSd ** 2 / (kerfSd ** 2 + measured ** 2);
  const mean = (cuts * before + weight * value) / (cuts + weight);
  const seen = Math.max(0, difference ** 2 - measured ** 2) / (1 + 1 / cuts);
  const share = ((kerfSd ** 2 * (1 + 1 / cuts)) / spread) ** 2;
  const pooled = (dof * kerfSd ** 2 + share * seen) / (dof + share);
  return {
    ...own,
    after: [mean],
    afterSd: Math.sqrt(pooled),
    dof: dof + share,
    pValue,
    outcome: 'folded',
  };
};

const learnShift = (
  known: KnownMachine,
  { error, predicted, offset: assumed, sign, otherShift }: PieceSays,
  force: boolean,
): { readonly offset: LearnedFigure; readonly cutSd?: LearnedFigure } => {
  const { offset: before, offsetSd, cutSd, cutSdDof } = known;
  const value = [assumed[0] + error.values[0]!, assumed[1] + sign * error.values[1]!] as const;
  const told = error.told[0] === true && error.told[1] === true && error.covariance !== undefined;
  const mean = (matrix: readonly (readonly number[])[]): number => (matrix[0]![0]! + matrix[1]![1]!) / 2;
  const bounds = predicted.bounded.reduce((sum, one) => sum + (one[0]! ** 2 + one[1]! ** 2) / 6, 0);
  const parts = [
    { variance: error.covariance === undefined ? 0 : mean(error.covariance), dof: error.sd.dof },
    { variance: mean(predicted.fromFit), dof: predicted.dof },
    {
      // Of what is known all but the cut itself; bounds as if every value within them were as likely.
      variance: mean(predicted.placing) + otherShift ** 2 + bounds + predicted.anyDirection ** 2 / 3,
      dof: undefined,
    },
  ];
  const measured = parts.reduce((sum, { variance }) => sum + variance, 0);
  const pieceSd = Math.sqrt(measured + (cutSd ?? 0) ** 2);
  const piece = { key: 'beam-offset' as const, piece: [...value], pieceSd };
  if (!told)
    return {
      offset: { ...piece, ...(before === undefined ? {} : { before: [...before] }), outcome: 'not-told' },
    };
  if (before === undefined)
    return { offset: { ...piece, after: [...value], afterSd: pieceSd, outcome: 'new' } };
  const own = { ...piece, before: [...before] };
  const difference = [value[0] - before[0], value[1] - before[1]] as const;
  const squared = difference[0] ** 2 + difference[1] ** 2;
  if (offsetSd === undefined && !force) return { offset: { ...own, outcome: 'no-weight' } };
  const all = [
    ...parts,
    { variance: (offsetSd ?? 0) ** 2, dof: undefined },
    { variance: (cutSd ?? 0) ** 2, dof: cutSdDof },
  ];
  const spread = all.reduce((sum, { variance }) => sum + variance, 0);
  const of = dofOf(all);
  const pValue =
    offsetSd === undefined
      ? undefined
      : of === undefined
        ? 1 - chiSquareCdf(squared / spread, 2)
        : 1 - fCdf(squared / spread / 2, 2, of);
  const test = pValue === undefined ? {} : { pValue };
  if (pValue !== undefined && pValue < contradictsBelow && !force)
    return { offset: { ...own, ...test, outcome: 'contradicts' } };
  const ofPiece = 1 / pieceSd ** 2;
  const ofBefore = offsetSd === undefined ? 0 : 1 / Math.max(1e-6, offsetSd) ** 2;
  const weighted = (k: 0 | 1): number => (ofBefore * before[k] + ofPiece * value[k]) / (ofBefore + ofPiece);
  const offset: LearnedFigure = {
    ...own,
    after: [weighted(0), weighted(1)],
    afterSd: 1 / Math.sqrt(ofBefore + ofPiece),
    ...test,
    outcome: 'folded',
  };
  if (offsetSd === undefined || cutSd === undefined || cutSd === 0) return { offset };
  // Per axis; what is left of the difference when all other causes are taken off.
  const rest = measured + offsetSd ** 2;
  const seen = Math.max(0, squared / 2 - rest);
  const share = 2 * (cutSd ** 2 / (cutSd ** 2 + rest)) ** 2;
  const dof = cutSdDof ?? unstatedDof;
  return {
    offset,
    cutSd: {
      key: 'cut-sd',
      before: [cutSd],
      piece: [Math.sqrt(seen)],
      pieceSd: Math.sqrt(rest),
      after: [Math.sqrt((dof * cutSd ** 2 + share * seen) / (dof + share))],
      dof: dof + share,
      outcome: 'folded',
    },
  };
};
