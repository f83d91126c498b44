/**
 * A calibration for a person at a terminal: what was found, how sure it is, and what stands in the
 * profile.
 */
import { type Calibrated, isDoubtful, type PartResult } from '../../calibration/calibrate.js';
import { type Proposal, proposalLines } from '../../calibration/proposal.js';
import type { MachinePart } from '../../job/job.js';
import { beamLines, bedLines, kerfLines, pointerLines } from './calibration-tables.js';
import { counted, printable, wrapped } from './layout.js';
import { warningLines } from './warnings-text.js';

type Done = Extract<Calibrated, { ok: true }>;

const titles: Readonly<Record<MachinePart, string>> = {
  pointer: 'how well the pointer is read',
  bed: 'the scales of the bed and how square it is',
  kerf: 'how wide the cut is',
  beam: 'where the beam burns',
};

export const calibrationText = (done: Done): string => {
  const { data, result, blank } = done;
  return printable([
    ...wrapped(`${data}: ${titles[result.part]}`),
    '',
    ...figures(result),
    ...(blank === 0 ? [] : wrapped(`${counted(blank, 'row')} of the form left blank.`)),
    ...warningLines(result.found.warnings),
    '',
    ...profileLines(done),
    '',
    ...wrapped(nextStep(done), 'Next: '),
    '',
  ]);
};

const figures = (result: PartResult): string[] => {
  switch (result.part) {
    case 'pointer':
      return pointerLines(result.found);
    case 'bed':
      return bedLines(result.found);
    case 'kerf':
      return kerfLines(result.found);
    case 'beam':
      return beamLines(result.found);
  }
};

const profileLines = ({ result, updated, withheld }: Done): string[] => {
  const { proposal } = result.found;
  const lines = proposalLines(proposal).map((line) => `  ${line}`);
  if (lines.length === 0) return ['For the profile of the machine: nothing, for these figures cannot be.'];
  if (updated === undefined) {
    const why = withheld
      ? `NOT written, for ${isDoubtful(result.found.warnings) ? 'the measurements are in doubt' : 'nothing tells how sure they are'}`
      : 'nothing was written';
    return [`For the profile of the machine (${why}):`, ...lines, ...removalLines(proposal)];
  }
  const { path, date, isNew, replaced } = updated;
  const kept = replaced === undefined ? '' : '; the values before are kept under "history"';
  return [
    ...wrapped(`${isNew ? 'A new profile' : 'Written'}: ${path}, measured ${date}${kept}.`),
    ...lines,
    ...removalLines(proposal),
  ];
};

const removalLines = ({ remove }: Proposal): string[] =>
  remove.length === 0
    ? []
    : wrapped(`without ${remove.join(', ')}, which belonged to the figure before`, '  ');

const nextStep = ({ result, updated, withheld }: Done): string => {
  if (result.found.warnings.some((w) => w.code === 'axes-turned')) return 'do what the warning says first.';
  if (isDoubtful(result.found.warnings)) {
    const isForced = withheld && Object.keys(result.found.proposal.set).length > 0;
    return `measure again what the warnings name, and run this command again${isForced ? '; --force writes these figures as they are' : ''}.`;
  }
  if (withheld) return 'burn more dots, and run this command again; --force writes the offset without an sd.';
  if (updated === undefined) {
    return 'add --profile FILE to have it written, old values kept, or type it in yourself.';
  }
  return `name the profile in your jobs, machine: ${updated.path} (counted from the job file).`;
};
