/** Whether the readings are to be trusted: asked by everything that says what to do next. */
import type { Remedy, Warning } from '../../job/messages.js';
import { listed } from '../words.js';

/** What has to be settled before anything else that is said of the job counts. */
export interface Doubt {
  /** Marks and touches whose readings are doubted; empty where nothing says which of them is wrong. */
  readonly marks: readonly string[];
  /** What raised it. */
  readonly warnings: readonly Warning[];
  /** What settles it, most likely first: of the first cause that was found, for one cause is told. At least one. */
  readonly remedies: readonly Remedy[];
}

/** @returns undefined where nothing is in doubt */
export const doubtIn = (warnings: readonly Warning[]): Doubt | undefined => {
  const raised = warnings.filter(({ remedies = [] }) => remedies.length > 0);
  const [first] = raised;
  if (first === undefined) return undefined;
  const ofFirst = raised.filter(({ code }) => code === first.code);
  return {
    marks: [...new Set(raised.flatMap(({ marks = [] }) => marks))],
    warnings: raised,
    remedies: merged(ofFirst.flatMap(({ remedies = [] }) => remedies)),
  };
};

/** Several doubted readings are read again in one go. */
const merged = (remedies: readonly Remedy[]): Remedy[] => {
  const again = remedies.filter(({ kind }) => kind === 'read-again');
  if (again.length < 2) return [...remedies];
  const marks = [...new Set(again.flatMap(({ marks: at = [] }) => at))];
  const all: Remedy = { kind: 'read-again', step: `read again at ${listed(marks)}`, marks };
  return remedies.flatMap((one) => (one === again[0] ? [all] : again.includes(one) ? [] : [one]));
};
