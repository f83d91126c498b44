/** Thousands of drawings with random mistakes, from their bytes to the cut file. */
import { mutatedLoose } from '../drawing/mutations/dxf.js';
import { type Course, throughPipeline } from '../drawing/mutations/pipeline.js';
import { mutated } from '../drawing/mutations/svg.js';

export interface Outcome {
  readonly name: string;
  readonly courses: Readonly<Record<Course, number>>;
  /** What went wrong, with the number of the file. */
  readonly faults: readonly string[];
  /** The longest time one file took of the processor, s, and which. */
  readonly slowest: number;
  readonly slowestFile: number;
}

/**
 * @param seconds the processor time used so far
 * @param keep gets each file that failed or took more than two seconds
 */
export const runMutations = (
  name: 'svg' | 'dxf',
  from: number,
  to: number,
  seconds: () => number,
  keep: (name: string, bytes: Uint8Array) => void,
  /** Gets the number of each file before it is read. */
  at: (index: number) => void,
): Outcome => {
  const courses: Record<Course, number> = { refused: 0, listed: 0, cut: 0 };
  const faults: string[] = [];
  let slowest = 0;
  let slowestFile = from;
  for (let index = from; index < to; index += 1) {
    const bytes = name === 'svg' ? mutated(index) : mutatedLoose(index);
    at(index);
    const before = seconds();
    try {
      courses[throughPipeline(bytes, `fern.${name}`, index % 3 === 0 ? 'as-drawn' : 'opening')] += 1;
    } catch (error) {
      faults.push(`${name} ${index}: ${error instanceof Error ? (error.stack ?? error.message) : error}`);
      keep(`${index}.${name}`, bytes);
    }
    const took = seconds() - before;
    if (took > 2) {
      faults.push(`${name} ${index}: ${took.toFixed(1)} s`);
      keep(`${index}.${name}`, bytes);
    }
    if (took <= slowest) continue;
    slowest = took;
    slowestFile = index;
  }
  return { name, courses, faults, slowest, slowestFile };
};
