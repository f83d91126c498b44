/** What joining did and could not do, in sentences. */

import { bounds } from '../../job/bounds.js';
import type { Warning } from '../../job/messages.js';
import type { Shape } from '../model/drawing.js';
import type { Findings } from './join-findings.js';

/** So many of what is found are named. */
export const mostNamed = 5;

export const joinWarnings = (found: Findings, shapes: readonly Shape[]): Warning[] => {
  const { report, duplicateIds, knots, complete } = found;
  const warnings: Warning[] = [];
  const { outlines, lines, openChains, largestGap } = report;
  if (outlines + openChains > 0) {
    const joined = [
      ...(outlines > 0
        ? [`${counted(outlines, 'closed outline')} made of ${counted(lines, 'loose line')}`]
        : []),
      ...(openChains > 0 ? [`${counted(openChains, 'open path')} joined from several`] : []),
    ].join(', ');
    const message = `${joined}; the largest gap between their ends was ${millimetres(largestGap ?? 0)} (join: ${report.distance}).`;
    warnings.push({ code: 'lines-joined', message });
  }
  if (duplicateIds.length > 0) {
    const named = some(
      duplicateIds.map(({ id, on }) => (id === on ? `${id} on itself` : `${id} on ${on}`)),
      report.duplicates,
    );
    const message = `${counted(report.duplicates, 'line')} drawn twice, in whole or in part: ${named}. A second pass would burn there twice, so each is taken once, whatever its stroke and layer.`;
    warnings.push({ code: 'lines-drawn-twice', message });
  }
  if (knots.length > 0) {
    const places = some(knots.map(({ x, y }) => `(${x.toFixed(2)}, ${y.toFixed(2)})`));
    const message = `At ${counted(knots.length, 'place')} three or more lines meet and it cannot be told which make an outline together: ${places}. They stay open; draw each outline closed by itself.`;
    warnings.push({ code: 'ambiguous-junction', message });
  }
  if (!complete) {
    const message =
      'So many lines lie on each other in one place that they were not searched for lines drawn twice.';
    warnings.push({ code: 'duplicates-unsearched', message });
  }
  // Of a million shapes only these are asked for their ids, which are made up as they are asked.
  const nearly = shapes
    .filter(({ openGap }) => openGap !== undefined)
    .map(({ id, openGap }) => ({ id, ...openGap! }));
  const wide = nearly.filter(({ gap }) => gap > report.distance);
  if (wide.length > 0) {
    const named = some(
      wide.map(
        ({ id, gap, at }) => `${id} (${millimetres(gap)} gap at ${at.x.toFixed(2)}, ${at.y.toFixed(2)})`,
      ),
    );
    const message = `${counted(wide.length, 'path')} nearly closed: ${named}. ${howToClose(
      wide.map(({ gap }) => gap),
      report.distance,
    )}`;
    warnings.push({ code: 'open-path-left-out', message });
  }
  return warnings;
};

const howToClose = (gaps: readonly number[], distance: number): string => {
  const value = joinFor(Math.max(...gaps));
  const it = gaps.length === 1 ? 'it' : 'them';
  return value === undefined
    ? `Close ${it} in the drawing.`
    : `To close ${it} write "join: ${value}" (now ${distance} mm), or mend the drawing.`;
};

/** The join distance for a gap, rounded up; undefined for one that is too wide to be bridged. */
export const joinFor = (gap: number): string | undefined => {
  const step = gap < 0.1 ? 0.001 : 0.01;
  const value = Number((Math.ceil(gap / step + 1e-9) * step).toFixed(3));
  return value > bounds.join.atMost ? undefined : String(value);
};

const counted = (n: number, noun: string): string => `${n} ${noun}${n === 1 ? '' : 's'}`;

const millimetres = (gap: number): string => `${gap < 5e-7 ? '0' : Number(gap.toPrecision(2))} mm`;

/** @param count of all, of which the first are named */
const some = (names: readonly string[], count = names.length): string => {
  const shown = names.slice(0, mostNamed).join(', ');
  return count > mostNamed ? `${shown} and ${count - mostNamed} more` : shown;
};
