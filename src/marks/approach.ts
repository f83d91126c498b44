/**
 * Whether it matters from which side the pointer came to the marks, and to the dots of the beam
 * offset.
 */
import type { Job } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { unknownOffsetSides, unknownSideOf } from './sides.js';

/**
 * Half the reversal against the sd of a reading; less than this makes the readings worse by 12 % at
 * most.
 */
const worthAsking = 1 / 2;

/** `reversal` where a side counts as unknown for want of a word, and that costs something. */
export const approachWarnings = ({
  fit,
  machine,
  readings,
  touches = [],
  witness = [],
}: Pick<Job, 'fit' | 'machine'> & Partial<Pick<Job, 'readings' | 'touches' | 'witness'>>): Warning[] => {
  const { reversal = [0, 0] } = machine;
  const whole = Math.max(Math.abs(reversal[0]), Math.abs(reversal[1]));
  if (whole === 0) return [];
  if (fit.readingSd !== undefined && whole / 2 < worthAsking * fit.readingSd) return [];
  const isUnsaid =
    fit.approach === undefined &&
    (readings === undefined ||
      [...readings, ...touches, ...witness].some(
        ({ directions }) => unknownSideOf({ fit, machine }, directions) !== undefined,
      ));
  const offset = unknownOffsetSides(machine).length > 0;
  if (!isUnsaid && !offset) return [];
  const marks =
    'write fit: {approach: up} if the pointer came to all of them with rising figures on the display, {approach: down} with falling ones; then it is corrected';
  const dots =
    'state beam-offset-approach and beam-offset-dots in the machine profile: from which side the dots of the beam offset were read, and how they were burnt';
  const cure = isUnsaid ? (offset ? `${marks}, and ${dots}` : marks) : dots;
  const what = isUnsaid ? 'to the marks' : 'to the dots of the beam offset';
  return [
    {
      code: 'reversal',
      message: `The display differs by ${whole.toFixed(3)} mm with the side the pointer comes from, and nothing says from which side it came ${what}; that counts against the clearance. To spare it, ${cure}.`,
    },
  ];
};
