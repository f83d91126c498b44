/** A slip in a sentence. */
import type { Warning } from '../../job/messages.js';
import type { Observation } from '../fit.js';
import { listed, marksNamed, mm, ordinal } from '../words.js';
import type { SlipExplanation, TypedReadings } from './explanations.js';
import { type SlipFinding, suggestedReadings } from './slips.js';
import { decimalsOf } from './typed-number.js';
import type { WeighedSlip } from './weigh.js';

export interface SlipWords {
  readonly observations: readonly Observation[];
  readonly typed: TypedReadings;
  /** What the job says; the other face is what it may lie on. */
  readonly face: 'up' | 'down';
}

export const likelySlipWarning = (
  likely: WeighedSlip,
  finding: SlipFinding,
  words: SlipWords,
  rmsNow: number | undefined,
): Warning => {
  const { slip, rms } = likely;
  const { observations } = words;
  const now = rmsNow === undefined ? '' : `; as they stand: ${mm(rmsNow)}`;
  const others = finding.others.slice(0, 2).map((o) => clause(o.slip, words));
  const less = others.length === 0 ? '' : ` Less likely: ${listed(others, 'or')}.`;
  const suggested = slip.mirroredDesign ? {} : { suggested: suggestedReadings(slip, observations) };
  return {
    code: 'likely-slip',
    kind: slip.kind,
    marks: slip.marks.map((k) => observations[k]!.mark),
    ...suggested,
    message: `${capital(clause(slip, words))}. With that put right the marks agree to ${mm(rms)} rms${now}.${less} Nothing was changed: ${cure(slip, words)}.`,
  };
};

/** The slip as a clause without a capital and without a full stop. */
export const clause = (slip: SlipExplanation, words: SlipWords): string => {
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
        ? `the readings of ${marksNamed(names)} seem to be in another order`
        : `the readings of ${marksNamed(names)} seem to be swapped`;
    case 'half-turn':
      return 'the part seems to lie turned by half a turn, its marks taken one for the other';
    case 'axes-swapped':
      return all
        ? 'x and y of all readings seem to be swapped'
        : `x and y of mark ${names[0]} seem to be swapped`;
    case 'inches':
      return 'the readings seem to be inches, not millimetres';
    case 'face-down':
      return words.face === 'up'
        ? 'the part seems to lie face down'
        : 'the part seems to lie face up, though the job says face down';
  }
};

const axisCounted = (slip: SlipExplanation, { typed }: SlipWords): string => {
  const [mark, readings] = [...slip.meant][0]!;
  const axis = readings[0]!.x === typed.typed[mark]![0]!.x ? 'y' : 'x';
  return `${axis} seems to be counted the other way (all its signs are wrong)`;
};

const mistyped = (slip: SlipExplanation, { typed }: SlipWords, name: string): string => {
  const { reading, axis, variant } = slip.coordinate!;
  const readings = typed.typed[slip.marks[0]!]!;
  const decimals = decimalsOf(typed.typed.flat().flatMap((p) => [p.x, p.y]));
  const was = readings[reading]![axis];
  // A number whose point was lost is shown as it was typed, without invented decimals.
  const shown = variant.way === 'point-lost' ? String(was) : was.toFixed(decimals);
  const which = readings.length > 1 ? `the ${ordinal(reading)} reading of ` : '';
  return `${axis} of ${which}mark ${name} was probably typed ${variant.how}: ${shown} for ${variant.value.toFixed(decimals)}`;
};

const cure = (slip: SlipExplanation, { face }: SlipWords): string => {
  if (slip.kind === 'face-down')
    return `turn the part over, or set face: ${face === 'up' ? 'down' : 'up'} if it should lie so`;
  if (slip.kind === 'sign' && slip.coordinate === undefined)
    return 'check axes (y-up or y-down) in the machine profile';
  return 'correct the job, or read again';
};

const capital = (text: string): string =>
  text.startsWith('x ') || text.startsWith('y ') ? text : text.charAt(0).toUpperCase() + text.slice(1);
