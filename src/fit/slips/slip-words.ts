/** A slip in a sentence. */

import type { Remedy, Warning } from '../../job/messages.js';
import { mirrorRemedies, readAgainAt, type Stated, slipRemedies } from '../doubts/remedies.js';
import type { Observation } from '../fit.js';
import { listed, marksNamed, mm, ordinal } from '../words.js';
import { axisOfSign, type SlipExplanation, suggestedReadings, type TypedReadings } from './explanations.js';
import { isMirror, type SlipFinding } from './slips.js';
import { decimalsOf } from './typed-number.js';
import type { WeighedSlip } from './weigh.js';

export interface SlipWords {
  readonly observations: readonly Observation[];
  readonly typed: TypedReadings;
  /** What the job says; the other face is what the part may lie on. */
  readonly stated: Stated;
}

export const likelySlipWarning = (
  likely: WeighedSlip,
  finding: SlipFinding,
  words: SlipWords,
  rmsNow: number | undefined,
): Warning => {
  const { slip, rms } = likely;
  const { observations } = words;
  const now = rmsNow !== undefined && rmsNow > 1.1 * rms ? ` instead of ${mm(rmsNow)}` : '';
  const { asWell = [] } = finding;
  const lessLikely = finding.others.filter((o) => !asWell.includes(o)).slice(0, 2);
  const less = lessLikely
    .map((o) => ` Less likely${overTurned(o, likely)}: ${clause(o.slip, words)}.`)
    .join('');
  const suggested = slip.mirroredDesign ? {} : { suggested: suggestedReadings(slip, observations) };
  return {
    code: 'likely-slip',
    kind: slip.kind,
    marks: slip.marks.map((k) => observations[k]!.mark),
    ...suggested,
    remedies:
      asWell.length === 0
        ? remediesOf([likely, ...lessLikely], words)
        : [readOneByOne([likely, ...asWell], observations)],
    message: `${probably(likely, asWell, words)} With that put right the marks agree to ${mm(rms)} rms${now}.${openTo(asWell, words)}${less} Nothing was changed: ${cure(slip, words)}.`,
  };
};

/** Of mirror images only a guess at how the part lies tells which it is: what puts the others right stands there, too. */
const remediesOf = (
  [{ slip }, ...others]: readonly [WeighedSlip, ...WeighedSlip[]],
  words: SlipWords,
): Remedy[] => {
  const { observations, typed, stated } = words;
  const remedies = slipRemedies(slip, observations, typed, stated);
  if (slip.alsoSwapped !== undefined || !isMirror(slip, observations)) return remedies;
  for (const other of others) {
    if (other.slip.alsoSwapped !== undefined || !isMirror(other.slip, observations)) continue;
    const [first] = slipRemedies(other.slip, observations, typed, stated);
    if (first !== undefined && remedies.every(({ step }) => step !== first.step)) remedies.push(first);
  }
  return remedies;
};

/** What is supposed of the part stands first where nothing but that decides. */
const probably = (likely: WeighedSlip, asWell: readonly WeighedSlip[], words: SlipWords): string =>
  asWell.length === 0
    ? `Probably ${clause(likely.slip, words)}.`
    : `If the part lies face ${words.stated.face}, turned by ${turnsOf([likely])} degrees, ${clause(likely.slip, words)}.`;

const openTo = (asWell: readonly WeighedSlip[], words: SlipWords): string =>
  asWell.length === 0
    ? ''
    : ` These marks cannot tell it from what fits as well: ${alternatives(asWell, words).join('; or ')}. Look how the part lies, and on which face, before you correct anything.`;

/**
 * Explanations that fit equally well, as one warning: none of them is the likely one. All of them mirror images: `mirrored`.
 */
export const eitherWarning = (
  either: readonly WeighedSlip[],
  { sizeChangedShare }: SlipFinding,
  words: SlipWords,
): Warning => {
  const { observations, stated } = words;
  const explained = alternatives(either, words).join('; or ');
  const marks = takenForOthers(either, observations);
  const size = sizeChangedShare > worthNaming ? ' Or the part came back in another size.' : '';
  const look = `${size} Nothing was changed: look how the part lies, and on which face. That tells which of them it is; so does a reading at one more mark, off this pattern.`;
  const again = readOneByOne(either, observations);
  if (either.every(({ slip }) => isMirror(slip, observations)))
    return {
      code: 'mirrored',
      message: `The readings fit a mirror image of the marks, with marks taken one for the other besides. Possible: ${explained}.${look}`,
      remedies: [again, ...mirrorRemedies(stated, either[0]!.slip)],
    };
  return {
    code: 'suspect-reading',
    marks,
    message: `Readings were taken one for the other, and these marks cannot tell how: ${explained}.${look}`,
    remedies: [again],
  };
};

const takenForOthers = (either: readonly WeighedSlip[], observations: readonly Observation[]): string[] =>
  observations.filter((_, k) => either.some(({ slip }) => pairOf(slip)?.includes(k))).map((o) => o.mark);

const readOneByOne = (either: readonly WeighedSlip[], observations: readonly Observation[]): Remedy =>
  readAgainAt(takenForOthers(either, observations), ', one after the other by name');

/** Belief in another size that makes it worth naming. */
const worthNaming = 0.1;

/** Marks taken one for the other; undefined for a slip without. */
const pairOf = ({ kind, marks, alsoSwapped }: SlipExplanation): readonly number[] | undefined =>
  alsoSwapped ?? (kind === 'swapped' || kind === 'half-turn' ? marks : undefined);

/** Explanations as clauses, those of one cause in one. */
const alternatives = (either: readonly WeighedSlip[], words: SlipWords): string[] => {
  const causes = new Map<string, WeighedSlip[]>();
  for (const one of either) {
    const cause = causeOf(one.slip, words);
    causes.set(cause, [...(causes.get(cause) ?? []), one]);
  }
  return [...causes].map(([cause, alike], i) => {
    const turned = ` (${i === 0 ? 'the part then lies ' : ''}turned by ${turnsOf(alike)} degrees)`;
    const pairs = alike.flatMap(({ slip }) => (slip.alsoSwapped === undefined ? [] : [slip.alsoSwapped]));
    const as = pairs.map((pair) => marksNamed(pair.map((k) => words.observations[k]!.mark))).sort();
    const swapped =
      as.length === 0
        ? ''
        : `, and the readings of ${as.join(', or of ')}${as.length > 1 ? ',' : ''} are swapped as well`;
    return `${cause}${swapped}${turned}`;
  });
};

/** The whole job's cause without the pair that is swapped besides; a pair or an order alone. */
const causeOf = ({ alsoSwapped, ...slip }: SlipExplanation, words: SlipWords): string =>
  oneCause(
    alsoSwapped === undefined ? slip : { ...slip, marks: words.observations.map((_, k) => k) },
    words,
    alsoSwapped,
  );

const turnsOf = (alike: readonly WeighedSlip[]): string =>
  listed(
    // Adding 0 makes a plain 0 of -0.
    [...new Set(alike.map(({ turn }) => String(Math.round((180 * turn) / Math.PI) + 0)))],
    'or',
  );

/** Explanations half a turn apart differ in nothing but the way the part then lies. */
const overTurned = (other: WeighedSlip, likely: WeighedSlip): string =>
  Math.cos(other.turn - likely.turn) < -0.9 ? ', since the part would then lie the other way round' : '';

/** The slip as a clause that "Probably" or "Possible:" can precede, without full stop. */
export const clause = (slip: SlipExplanation, words: SlipWords): string => {
  if (slip.alsoSwapped === undefined) return causeOf(slip, words);
  const pair = slip.alsoSwapped.map((k) => words.observations[k]!.mark);
  return `${causeOf(slip, words)}, and the readings of ${marksNamed(pair)} are swapped as well`;
};

/** @param also the two marks whose readings are swapped besides */
const oneCause = (slip: SlipExplanation, words: SlipWords, also?: readonly [number, number]): string => {
  const { observations } = words;
  const names = slip.marks.map((k) => observations[k]!.mark);
  const all = names.length === observations.length;
  switch (slip.kind) {
    case 'digits':
    case 'decimal-point':
    case 'sign':
      return slip.coordinate === undefined
        ? axisCounted({ ...slip, ...(also && { alsoSwapped: also }) }, words)
        : mistyped(slip, words, names[0]!);
    case 'swapped':
      return slip.order
        ? `the readings of ${marksNamed(names)} are in another order`
        : `the readings of ${marksNamed(names)} are swapped`;
    case 'half-turn':
      return 'the part lies turned by half a turn, its marks taken one for the other';
    case 'axes-swapped':
      return all ? 'x and y of all readings are swapped' : `x and y of mark ${names[0]} are swapped`;
    case 'inches':
      return 'the readings are inches, not millimetres';
    case 'centimetres':
      return 'the readings are centimetres, not millimetres';
    case 'face-down':
      return words.stated.face === 'up'
        ? 'the part lies face down'
        : 'the part lies face up, though the job says face down';
  }
};

const axisCounted = (slip: SlipExplanation, { typed }: SlipWords): string =>
  `the machine counts ${axisOfSign(slip, typed.typed)} the other way`;

const mistyped = (slip: SlipExplanation, { typed }: SlipWords, name: string): string => {
  const { reading, axis, variant } = slip.coordinate!;
  const readings = typed.typed[slip.marks[0]!]!;
  const decimals = decimalsOf(typed.typed.flat().flatMap((p) => [p.x, p.y]));
  const was = readings[reading]![axis];
  // A number whose point was lost is shown as it was typed, without invented decimals.
  const shown = variant.way === 'point-lost' ? String(was) : was.toFixed(decimals);
  const which = readings.length > 1 ? `the ${ordinal(reading)} reading of ` : '';
  return `${axis} of ${which}mark ${name} was typed ${variant.how()}, ${shown} for ${variant.value.toFixed(decimals)}`;
};

const cure = (slip: SlipExplanation, { stated }: SlipWords): string => {
  if (slip.kind === 'face-down')
    return `turn the part over, or set face: ${stated.face === 'up' ? 'down' : 'up'} if it should lie so`;
  if (slip.kind === 'sign' && slip.coordinate === undefined)
    return 'check axes (y-up or y-down) in the machine profile';
  return 'correct the job, or read again';
};
