/** What the operator should know about a cut, in sentences. */
import type { Shape } from '../drawing/drawing.js';
import type { Job } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import type { DrawnShapes } from './cut-neighbourhood.js';

export interface CutFindings {
  readonly openings: readonly Shape[];
  readonly drawn: DrawnShapes;
  readonly merged: readonly (readonly string[])[];
  readonly vanished: readonly string[];
  readonly thinLands: readonly { readonly between: readonly [string, string]; readonly width: number }[];
  readonly cut: Job['cut'];
}

export const cutWarnings = (found: CutFindings): Warning[] => {
  const { openings, drawn, merged, vanished, thinLands, cut } = found;
  const warnings: Warning[] = [];
  if (drawn.open.length > 0) {
    warnings.push({
      code: 'open-path-left-out',
      message: `${count(drawn.open.length, 'opening')} with a path that does not close: ${some(drawn.open.map((id) => withGap(id, openings)))}. The open path has no inside and was left out; close it in the drawing.`,
    });
  }
  if (drawn.duplicates.length > 0) {
    warnings.push({
      code: 'duplicate-left-out',
      message: `${count(drawn.duplicates.length, 'path')} drawn exactly over another one: ${some(drawn.duplicates.map((d) => `${d.shape} over ${d.of}`))}. Each is cut once.`,
    });
  }
  if (merged.length > 0) {
    warnings.push({
      code: 'openings-merged',
      message: `${count(merged.length, 'group')} of openings whose new edges run into each other: ${some(merged.map((group) => group.join(' + ')))}. Nothing is left between them.`,
    });
  }
  if (vanished.length > 0) {
    warnings.push({
      code: 'opening-vanished',
      message: `Nothing is left of ${some(vanished)}: ${vanished.length === 1 ? 'it is' : 'they are'} narrower than the offset on both sides, or enclose${vanished.length === 1 ? 's' : ''} nothing as drawn.`,
    });
  }
  const thinnest = thinLands[0];
  if (thinnest !== undefined) {
    warnings.push({
      code: 'thin-land',
      message: `${count(thinLands.length, 'land')} thinner than ${cut.smallestLand} mm. The thinnest, ${thinnest.width.toFixed(2)} mm, is between ${thinnest.between[0]} and ${thinnest.between[1]}.`,
    });
  }
  return warnings;
};

const withGap = (id: string, openings: readonly Shape[]): string => {
  const gap = openings.find((shape) => shape.id === id)?.openGap;
  if (gap === undefined) return id;
  const { x, y } = gap.at;
  return `${id} (${Number(gap.gap.toPrecision(2))} mm gap at ${x.toFixed(2)}, ${y.toFixed(2)}: raise "join" to close it)`;
};

const count = (n: number, noun: string): string => `${n} ${noun}${n === 1 ? '' : 's'}`;

/** The first few names, and how many more there are. */
const some = (names: readonly string[]): string => {
  const shown = names.slice(0, 5).join(', ');
  return names.length > 5 ? `${shown} and ${names.length - 5} more` : shown;
};
