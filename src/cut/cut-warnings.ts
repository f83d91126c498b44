/** What the operator should know about a cut, in sentences. */
import type { Shape } from '../drawing/model/drawing.js';
import type { Job } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import type { DrawnShapes } from './cut-neighbourhood.js';
import type { Finding } from './findings/finding.js';
import { findingWarnings } from './findings/finding-words.js';

export interface CutFindings {
  readonly openings: readonly Shape[];
  readonly drawn: DrawnShapes;
  readonly merged: readonly (readonly string[])[];
  readonly findings: readonly Finding[];
  readonly thinLands: readonly { readonly between: readonly [string, string]; readonly width: number }[];
  readonly cut: Job['cut'];
}

export const cutWarnings = (found: CutFindings): Warning[] => {
  const { openings, drawn, merged, findings, thinLands, cut } = found;
  const warnings = findingWarnings(findings, cut.kind);
  if (drawn.open.length > 0) {
    warnings.push({
      code: 'open-path-left-out',
      message: `${count(drawn.open.length, 'opening')} with a path that does not close: ${some(drawn.open.map((id) => withGap(id, openings)))}. The open path has no inside and was left out; close it in the drawing.`,
    });
  }
  if (drawn.duplicates.length > 0) {
    warnings.push({
      code: 'opening-drawn-twice',
      message: `${count(drawn.duplicates.length, 'path')} drawn exactly over another one: ${some(drawn.duplicates.map((d) => `${d.shape} over ${d.of}`))}. Each is cut once.`,
    });
  }
  if (merged.length > 0 && cut.kind === 'opening') {
    warnings.push({
      code: 'openings-merged',
      message: `${count(merged.length, 'group')} of openings whose new edges run into each other: ${some(merged.map((group) => group.join(' + ')))}. Nothing is left between them.`,
    });
  }
  if (thinLands.length > 0) warnings.push(ofLands(thinLands, cut.smallestLand));
  return warnings;
};

/** In the order of weight: what the cut does to the piece, then what the job and its fit say, then the rest of the cut. */
export const inOrderOfWeight = (ofFit: readonly Warning[], ofCut: readonly Warning[]): Warning[] => {
  // What the cut says of open paths is more than what the drawing's reader said of them.
  const isRepeated = ({ code }: Warning): boolean =>
    (code === 'open-path-left-out' || code === 'outside-bed') && ofCut.some((other) => other.code === code);
  return [
    ...ofCut.filter(({ places }) => places !== undefined),
    ...ofFit.filter((warning) => !isRepeated(warning)),
    ...ofCut.filter(({ places }) => places === undefined),
  ];
};

const ofLands = (lands: CutFindings['thinLands'], smallest: number): Warning => {
  const where = ({ between: [one, other] }: CutFindings['thinLands'][number]): string =>
    one === other ? `within ${one}` : `between ${one} and ${other}`;
  const gone = lands.filter(({ width }) => width <= 0);
  const standing = lands.find(({ width }) => width > 0);
  const parts = [`${count(lands.length, 'land')} thinner than ${smallest} mm.`];
  if (gone.length > 0) parts.push(`Nothing is left of ${gone.length}: ${some(gone.map(where))}.`);
  if (standing !== undefined) {
    parts.push(
      `The thinnest${gone.length > 0 ? ' left' : ''}, ${standing.width.toFixed(2)} mm, is ${where(standing)}.`,
    );
  }
  return { code: 'thin-land', message: parts.join(' ') };
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
