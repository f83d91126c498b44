/** The tables of the studies of inspection.ts, and what they have to show. */
import { errorWords, studyAgreement, studyLimits, studyScans } from './inspection.js';

export interface InspectionSection {
  readonly lines: readonly string[];
  readonly failures: readonly string[];
}

const cuts = 500;
const percent = (share: number): string => (100 * share).toFixed(1);
/** What the 95 % limits have to hold. */
const [least, most] = [0.93, 0.97];

const isHeld = (held: number, of: number): boolean => {
  // Of a part of the cuts less can be told.
  const spread = of < cuts ? 3 * Math.sqrt((0.95 * 0.05) / of) : 0;
  return held >= least - spread && held <= most + spread;
};

export const gapStudy = (seed: string, share: number): InspectionSection => {
  const count = Math.max(10, Math.round(cuts * share));
  const failures: string[] = [];
  const rows = studyLimits(count, seed).map(({ sd, held }) => {
    held.forEach((v, k) => {
      if (!isHeld(v, count))
        failures.push(`gaps, sd ${sd}: the limits of ${errorWords[k]} hold ${percent(v)} %`);
    });
    return `| ${sd} | ${held.map(percent).join(' | ')} |`;
  });
  const { below05, below50 } = studyAgreement(count, seed);
  const near = (v: number, p: number): boolean => Math.abs(v - p) <= 4 * Math.sqrt((p * (1 - p)) / count);
  if (!near(below05, 0.05)) failures.push(`a chance below 0.05 in ${percent(below05)} % of cuts`);
  if (!near(below50, 0.5)) failures.push(`a chance below 0.5 in ${percent(below50)} % of cuts`);
  return {
    lines: [
      '## Gaps of the finished piece, measured by hand: do the limits hold?',
      '',
      `${count} cuts of known errors, ten gaps at the places that the tool names, read to 0.01 mm with an sd of 0.03 mm. How`,
      'often the 95 % limits hold the true value, %:',
      '',
      `| gap-sd | ${errorWords.join(' | ')} |`,
      `|---|${errorWords.map(() => '---|').join('')}`,
      ...rows,
      '',
      `Of as many cuts whose readings, cut-sd and kerf-sd are as stated ${percent(below05)} % have a chance below 0.05 by the`,
      `prediction (5 expected), and ${percent(below50)} % one below 0.5.`,
      '',
    ],
    failures,
  };
};

export const scannedStudy = (seed: string, share: number): InspectionSection => {
  const count = Math.max(10, Math.round(cuts * share));
  const { held, ratio } = studyScans(count, seed);
  const failures = held.flatMap((v, k) =>
    isHeld(v, count) ? [] : [`scans: the limits of ${errorWords[k]} hold ${percent(v)} %`],
  );
  return {
    lines: [
      '## Gaps in scans of the finished piece: do the limits hold?',
      '',
      `${count} cuts of known errors, rendered at 600 to the inch (blur 0.7 pixels, noise and texture of 4 levels of 256, light`,
      'that falls off by 10 to 25 %, turned any way, five openings on 38 x 26 mm; values are light). How often the 95 % limits',
      'hold the true value, %, and the variance of what is found about the truth over the stated one:',
      '',
      `| | ${errorWords.join(' | ')} |`,
      `|---|${errorWords.map(() => '---|').join('')}`,
      `| held | ${held.map(percent).join(' | ')} |`,
      `| variance | ${ratio.map((v) => v.toFixed(2)).join(' | ')} |`,
      '',
    ],
    failures,
  };
};
