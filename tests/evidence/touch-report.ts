/** The studies of touches as text, and what they have to show. */
import {
  irregular,
  outlines,
  regular,
  scenes,
  studyCovariance,
  studyLimits,
  studyOutline,
} from './touches.js';

const most = { covariance: 10_000, limits: 10_000, outline: 500, regular: 200 } as const;

export interface TouchStudies {
  readonly lines: readonly string[];
  /** Each thing that was to be shown and was not. */
  readonly failures: readonly string[];
}

/** @param share of the jobs */
export const touchStudies = (seed: string, share = 1): TouchStudies => {
  const part = (count: number): number => Math.max(1, Math.round(share * count));
  const [covarianceTrials, limitTrials] = [part(most.covariance), part(most.limits)];
  const [outlineTrials, regularTrials] = [part(most.outline), part(most.regular)];
  const lines: string[] = [];
  const failures: string[] = [];
  lines.push(
    '## Touches: is the stated covariance the one that comes out?',
    '',
    `${covarianceTrials} jobs each with a known truth, sd of a reading 0.1 mm. Observed over stated variance of the position at two`,
    'places of the part, least and largest of the four coordinates; largest difference of a correlation between two of',
    'them; largest mean error over its own standard error. Without marks the fit starts at the truth here; finding it is',
    'studied below.',
    '',
    '| touched | least | largest | correlation | mean error |',
    '|---|---|---|---|---|',
  );
  for (const scene of scenes()) {
    const { name, least, largest, correlation, bias } = studyCovariance(scene, covarianceTrials, seed);
    lines.push(
      `| ${name} | ${least.toFixed(3)} | ${largest.toFixed(3)} | ${correlation.toFixed(3)} | ${bias.toFixed(1)} |`,
    );
    if (!(least > 0.95 && largest < 1.05)) failures.push(`touches, ${name}: variance off by more than 5 %`);
    if (!(correlation < 0.05))
      failures.push(`touches, ${name}: correlation off by ${correlation.toFixed(3)}`);
    if (!(bias < 4)) failures.push(`touches, ${name}: mean error ${bias.toFixed(1)} standard errors`);
  }
  const held = studyLimits(limitTrials, seed);
  lines.push(
    '',
    `Two marks and three edges without any stated sd: the 95 % limits hold the true place in ${(100 * held).toFixed(2)} % of ${limitTrials} jobs.`,
    '',
    '## Touches: is a part found by its outline alone?',
    '',
    '8 touches at places of chance round the outline, any turn, sd 0.1 mm. Right: within 1 mm everywhere. Wrong: placed',
    'elsewhere. Told: refused, with what would decide it.',
    '',
    '| outline | jobs | right | wrong | told |',
    '|---|---|---|---|---|',
  );
  if (Math.abs(held - 0.95) > 0.01)
    failures.push(`touches: 95 % limits hold in ${(100 * held).toFixed(2)} %`);
  for (const name of Object.keys(outlines)) {
    const isIrregular = irregular.includes(name);
    const { trials, right, wrong, told } = studyOutline(
      name,
      isIrregular ? outlineTrials : regularTrials,
      seed,
    );
    lines.push(`| ${name} | ${trials} | ${right} | ${wrong} | ${told} |`);
    if (isIrregular && right < 0.99 * trials)
      failures.push(`outline ${name}: right in ${right} of ${trials}`);
    if (wrong > (regular.includes(name) ? 0 : 0.002 * trials))
      failures.push(`outline ${name}: ${wrong} wrong`);
  }
  lines.push('');
  return { lines, failures };
};
