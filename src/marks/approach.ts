/** Whether it matters from which side the pointer came to the marks. */
import type { Job } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { halfReversal } from '../job/read-job.js';

/** Half the reversal against the sd of a reading; less than this makes the readings worse by 12 % at most. */
const worthAsking = 1 / 2;

/** `reversal` where the side counts as unknown for want of a word, and that costs something. */
export const approachWarnings = ({ fit, machine }: Pick<Job, 'fit' | 'machine'>): Warning[] => {
  const half = halfReversal(machine);
  if (fit.approach !== undefined || half === 0) return [];
  if (fit.readingSd !== undefined && half < worthAsking * fit.readingSd) return [];
  return [
    {
      code: 'reversal',
      message: `The display differs by ${(2 * half).toFixed(3)} mm with the side the pointer comes from, and nothing says from which side it came; half of that counts as an error of every mark. If it came to all of them from the same side, write fit: {approach: same}; if not, {approach: either}.`,
    },
  ];
};
