/** What the job file says that the page has no fields for: whether it counts here. */
import type { Job } from '../index.js';
import { counted } from './text.js';

/** Touches and witness readings: they count as any reading does; undefined where the job has none. */
export const otherReadings = ({ touches = [], witness = [] }: Job): string | undefined => {
  const parts = [
    ...(touches.length === 0 ? [] : [counted(touches.length, 'touch', 'touches')]),
    ...(witness.length === 0 ? [] : [counted(witness.length, 'witness reading')]),
  ];
  if (parts.length === 0) return undefined;
  const isOne = touches.length + witness.length === 1;
  return `The job file also has ${parts.join(' and ')}. ${isOne ? 'It counts' : 'They count'} here as well; "reseat fit" tells how far off ${isOne ? 'it' : 'each'} is. Change ${isOne ? 'it' : 'them'} in the file.`;
};

export const filmElsewhere =
  'How to lay the film of the job file in strips is not shown here: "reseat cut" tells it.';

export const keptWords = ({ film }: Job): string =>
  `${film === undefined ? '' : `${filmElsewhere} `}What else the job says is kept as it is.`;
