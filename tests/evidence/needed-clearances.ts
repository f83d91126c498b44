/** What the number of marks is worth, and why two marks alone are nearly worthless when nothing else tells the sd. */
import { adjust } from '../../src/fit/adjust.js';
import type { Observation } from '../../src/fit/fit.js';
import { checkFit } from '../../src/verdict/check.js';
import { rectangle } from '../verdict/shapes.js';

const corners: readonly (readonly [number, number])[] = [
  [20, 20],
  [580, 380],
  [580, 20],
  [20, 380],
];
const sd = 0.1;

/** Residuals are made so that the estimated sd comes out as the true one: the last mark's reading is moved for it. */
export const neededClearance = (marks: number, isKnown: boolean): number => {
  const at = (slip: number): Observation[] =>
    corners.slice(0, marks).map(([x, y], i) => ({
      mark: `M${i}`,
      design: { x, y },
      readings: [{ x: x + (i === 1 ? slip : 0), y }],
    }));
  const options = { model: 'rigid', markSd: 0, ...(isKnown ? { readingSd: sd } : {}) } as const;
  const unit = adjust(at(0.1), { model: 'rigid', markSd: 0 });
  if (!unit.ok) throw new Error(unit.failure.reason);
  const observations = at((0.1 * sd) / unit.fit.sd.estimated!);
  const outcome = adjust(observations, options);
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  return checkFit({
    fit: outcome.fit,
    observations,
    options,
    openings: [rectangle('sill', 60, 60, 480, 20), rectangle('light', 60, 320, 480, 20)],
    face: 'up',
    pierced: { kerf: 0, compensated: true },
    cut: { kind: 'opening', clearance: 0.5, kerf: 0, corners: 'mitre', mitreLimit: 4, apply: 'full' },
    check: { acceptedRisk: 0.05, cutSd: 0, kerfSd: 0 },
    draws: 16384,
  }).neededClearance!;
};

export const neededClearances = (): string[] => [
  '## What a mark is worth',
  '',
  'A panel of 600 x 400 mm with openings along two sides, marks near the corners, rigid fit, sd of a reading 0.1 mm;',
  'needed clearance in mm at accepted risk 0.05.',
  '',
  '| marks | sd known | sd estimated from the residuals |',
  '|---|---|---|',
  ...[2, 3, 4].map(
    (marks) =>
      `| ${marks} | ${neededClearance(marks, true).toFixed(3)} | ${neededClearance(marks, false).toFixed(2)} |`,
  ),
];
