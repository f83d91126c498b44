/** A slip in a sentence. */
import type { Warning } from '../../job/messages.js';
import type { Observation } from '../fit.js';
import { type Stated, slipRemedies } from '../remedies.js';
import { marksNamed, mm, ordinal } from '../words.js';
import type { SlipExplanation, TypedReadings } from './explanations.js';
import { type SlipFinding, suggestedReadings } from './slips.js';
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
  const less = finding.others
    .slice(0, 2)
    .map((o) => ` Less likely${overTurned(o, likely)}: ${clause(o.slip, words)}.`)
    .join('');
  const suggested = slip.mirroredDesign ? {} : { suggested: suggestedReadings(slip, observations) };
  return {
    code: 'likely-slip',
    kind: slip.kind,
    marks: slip.marks.map((k) => observations[k]!.mark),
    ...suggested,
    remedies: slipRemedies(slip, observations, words.typed, words.stated),
    message: `Probably ${clause(slip, words)}. With that put right the marks agree to ${mm(rms)} rms${now}.${less} Nothing was changed: ${cure(slip, words)}.`,
  };
};

/** Explanations half a turn apart differ in nothing but the way the part then lies. */
const overTurned = (other: WeighedSlip, likely: WeighedSlip): string =>
  Math.cos(other.turn - likely.turn) < -0.9 ? ', since the part would then lie the other way round' : '';

/** The slip as a clause that "Probably" or "Possible:" can precede, without full stop. */
export const clause = (slip: SlipExplanation, words: SlipWords): string => {
  const { alsoSwapped: also, ...whole } = slip;
  if (also === undefined) return oneCause(whole, words);
  const pair = also.map((k) => words.observations[k]!.mark);
  // The words for a whole job need all of its marks.
  const marks = words.observations.map((_, k) => k);
  return `${oneCause({ ...whole, marks }, words)}, and the readings of ${marksNamed(pair)} are swapped as well`;
};

const oneCause = (slip: SlipExplanation, words: SlipWords): string => {
  const { observations } = words;
  const names = slip.marks.map((k) => observations[k]!.mark);
  const all = names.length === observations.length;
  switch (slip.kind) {
    case 'digits':
    case 'decimal-point':
    case 'sign':
      return slip.coordinate === undefined ? axisCounted(slip, words) : mistyped(slip, words, names[0]!);
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

const axisCounted = (slip: SlipExplanation, { typed }: SlipWords): string => {
  const [mark, readings] = [...slip.meant][0]!;
  const axis = readings[0]!.x === typed.typed[mark]![0]!.x ? 'y' : 'x';
  return `the machine counts ${axis} the other way`;
};

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
