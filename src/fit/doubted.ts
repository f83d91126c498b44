/** Whether the readings are to be trusted: asked by everything that says what to do next. */
import type { Warning } from '../job/messages.js';

/** Readings that have to be taken again before anything else that is said of the job counts. */
export interface Doubt {
  /** Where; empty where the readings disagree and nothing says which of them is wrong. */
  readonly marks: readonly string[];
  /** What raised it. */
  readonly warnings: readonly Warning[];
}

const doubtful: readonly Warning['code'][] = ['likely-slip', 'suspect-reading', 'marks-disagree'];

/** @returns undefined where no reading is in doubt */
export const doubtIn = (warnings: readonly Warning[]): Doubt | undefined => {
  const raised = warnings.filter(({ code }) => doubtful.includes(code));
  return raised.length === 0
    ? undefined
    : { marks: [...new Set(raised.flatMap(({ marks = [] }) => marks))], warnings: raised };
};
