/** What the operator must be told about touches. */
import type { Warning } from '../../job/messages.js';
import { readAgainAt } from '../doubts/remedies.js';
import type { Suspicion } from '../doubts/suspicion.js';
import type { Fit, FitOutcome } from '../fit.js';
import { inWords, listed, mm } from '../words.js';

/** Repeated readings of one touch never lie this far apart across its edge, mm. Common practice, no source. */
const farApart = 1;

/**
 * `suspect-reading` for the reading that stands out, where nothing else explains it, and for touches whose repeated
 * readings contradict each other; `ambiguous-pattern` where a stated start or face had to decide.
 */
export const touchWarnings = (fit: Fit, outcome: FitOutcome, suspect: Suspicion | undefined): Warning[] => {
  const { touches } = fit;
  if (touches === undefined) return [];
  const warnings: Warning[] = [];
  for (const { touch, across = [0], readings } of touches) {
    const apart = Math.max(...across) - Math.min(...across);
    if (!(apart > Math.max(farApart, 6 * (fit.referenceSd ?? 0)))) continue;
    const message = `The ${inWords(readings)} readings of ${touch} lie up to ${mm(apart)} apart across that edge, more than readings of one place do. Touch it again.`;
    warnings.push({ code: 'suspect-reading', marks: [touch], message, remedies: [readAgainAt([touch])] });
  }
  const named = new Set(warnings.flatMap((w) => w.marks ?? []));
  if (suspect !== undefined && !named.has(suspect.mark)) warnings.push(standsOut(fit, suspect.mark));
  if (outcome.ok) warnings.push(...(outcome.ambiguous ?? []));
  return warnings;
};

const standsOut = (fit: Fit, name: string): Warning => {
  const touch = fit.touches?.find((t) => t.touch === name);
  const mark = fit.marks.find((m) => m.mark === name);
  const away =
    touch === undefined ? Math.hypot(mark!.residual.x, mark!.residual.y) : Math.abs(touch.residual);
  const from = touch === undefined ? 'from where the fit puts it' : 'from that edge';
  const again =
    touch === undefined ? `Read mark ${name} again.` : 'Check which edge it was, and touch it again.';
  const subject = touch === undefined ? `Mark ${name}` : name.replace(/^./, (c) => c.toUpperCase());
  return {
    code: 'suspect-reading',
    marks: [name],
    remedies: [readAgainAt([name])],
    message: `${subject} does not fit the others: it lies ${mm(away)} ${from}. ${again}`,
  };
};

/** `no-redundancy` where touches took part. */
export const touchesUnchecked = ({ model, marks, touches = [] }: Fit): Warning => {
  const counted = (count: number, one: string, many: string) =>
    count === 0 ? [] : [`${inWords(count)} ${count === 1 ? one : many}`];
  const what = listed([
    ...counted(marks.length, 'mark', 'marks'),
    ...counted(touches.length, 'touch', 'touches'),
  ]);
  return {
    code: 'no-redundancy',
    message: `${what.replace(/^./, (c) => c.toUpperCase())} and ${model === 'affine' ? 'an' : 'a'} ${model} fit: every residual is zero whatever went wrong, so a mistake in a reading cannot be known. One more touch on another edge, or a mark, would give a check.`,
  };
};
