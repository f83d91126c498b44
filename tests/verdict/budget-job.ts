/** The panel of the error budget's worked examples, as a job file in memory. */

import { checkJob, loadJob } from '../../src/reseat.js';
import type { Check } from '../../src/verdict/check-result.js';

export const panel = `<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="400mm" viewBox="0 0 600 400">
<g id="outline"><rect id="panel" x="0" y="0" width="600" height="400"/></g>
<g id="openings">
<circle id="ring" cx="150" cy="110" r="30"/>
<rect id="slot" x="270" y="190" width="60" height="20"/>
<rect id="tile" x="-20" y="-20" width="40" height="40" transform="translate(500 290) rotate(-15)"/>
</g></svg>`;

export const patterns = {
  K4: { A: [20, 20], B: [580, 20], C: [580, 380], D: [20, 380] },
  K3: { A: [20, 20], B: [580, 20], C: [580, 380] },
  KC: { A: [20, 20], B: [120, 20], C: [20, 120] },
} as const;

export interface BudgetJob {
  readonly marks?: keyof typeof patterns;
  /** Degrees. */
  readonly turn?: number;
  readonly repeats?: number;
  readonly fit?: string;
  readonly machine?: string;
  readonly check?: string;
  readonly clearance?: number;
  readonly kind?: string;
}

/** Readings without any error: what is asked is how large the errors may be. */
export const budgetJob = ({
  marks = 'K4',
  turn = 0,
  repeats = 1,
  fit = '{}',
  machine = '{}',
  check = '{}',
  clearance = 0.3,
  kind = 'opening',
}: BudgetJob): { text: string } => {
  const angle = (turn * Math.PI) / 180;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const rows = Object.entries(patterns[marks]).map(([name, [x, y]]) => {
    const at = turn === 0 ? [x + 400, y + 200] : [c * x - s * y + 400, s * x + c * y + 200];
    return `  ${name}: [${Array.from({ length: repeats }, () => `[${at[0]}, ${at[1]}]`).join(', ')}]`;
  });
  const places = Object.entries(patterns[marks]).map(([name, at]) => `  ${name}: [${at.join(', ')}]`);
  const text = `drawing: panel.svg
marks:
${places.join('\n')}
readings:
${rows.join('\n')}
machine: ${machine}
fit: ${fit}
cut: {kind: ${kind}, clearance: ${clearance}, corners: mitre, kerf: 0}
check: ${check}
`;
  return { text };
};

export const checkBudget = (job: BudgetJob): Check => {
  const loaded = loadJob(
    { path: 'job.yaml', text: budgetJob(job).text },
    { read: (path) => (path === 'panel.svg' ? new TextEncoder().encode(panel) : undefined) },
  );
  const checked = checkJob(loaded);
  if (!checked.ok) throw new Error(checked.failure.reason);
  return checked.check;
};

/** ring, slot, tile and the job. */
export const neededOf = (job: BudgetJob): number[] => {
  const check = checkBudget(job);
  const of = (id: string): number => check.openings.find((o) => o.id === id)!.neededClearance!;
  return [of('ring'), of('slot'), of('tile'), check.neededClearance!];
};
