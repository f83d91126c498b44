/** What stands beside the picture of a plan: what is needed, what each mark brings, the bands. */
import { markRadius } from '../../../drawing/write/marked-drawing.js';
import type { Plan, PlannedPattern } from '../../../plan/plan.js';
import { fixed } from '../../text/layout.js';
import { kindNames } from '../../text/plan-text.js';
import { letteringWidth, shortenedTo, wrappedWriting } from '../lettering.js';
import { sizes } from '../role-style.js';
import { palette } from '../signs.js';
import { element, writing } from '../svg-text.js';
import type { ErrorBands } from './plan-bands.js';

export const planColumnWidth = 380;
const lineHeight = 21;
/** Widest name of a mark, beside its figures. */
const widestName = 84;

export const planColumn = (
  { plan, zero }: { readonly plan: Plan; readonly zero: string },
  bands: ErrorBands | undefined,
  at: { readonly x: number; readonly y: number },
): { readonly svg: string; readonly bottom: number } => {
  const { x } = at;
  let { y } = at;
  const parts: string[] = [];
  const text = (words: string, left = 0): void => {
    for (const line of wrappedWriting(words, planColumnWidth - left, sizes.text)) {
      parts.push(writing(x + left, y + 15, line));
      y += lineHeight;
    }
  };
  const heading = (words: string): void => {
    y += 16;
    parts.push(writing(x, y + 15, words, { 'font-weight': 'bold' }));
    y += lineHeight + 6;
  };
  const { chosen, clearance } = plan;
  heading('Marks and places to touch');
  const names = chosen.places.map(({ name }) => shortenedTo(name, widestName, sizes.text, true));
  const wide = Math.max(32, ...names.map((name) => letteringWidth(name, sizes.text, true)));
  const figuresAt = x + wide + 12;
  const kindAt = Math.max(x + 166, figuresAt + 122);
  for (const [i, place] of chosen.places.entries()) {
    parts.push(
      writing(x, y + 15, names[i]!, { 'font-weight': 'bold' }),
      writing(figuresAt, y + 15, `${fixed(place.at.x, 1)}, ${fixed(place.at.y, 1)}`),
      writing(
        kindAt,
        y + 15,
        shortenedTo(
          `${kindNames[place.kind]}${place.shape === undefined ? '' : `: ${place.shape}`}`,
          x + planColumnWidth - kindAt,
          sizes.text,
        ),
      ),
    );
    y += lineHeight + 2;
  }
  text(`In mm from ${zero}.`);
  if (chosen.places.some(({ kind }) => kind === 'land' || kind === 'given'))
    text(`New marks are drawn ${2 * markRadius} mm across.`);
  heading('Clearance the whole job needs, mm');
  const row = (pattern: PlannedPattern, name: string, strong: boolean): void => {
    const style = strong ? { 'font-weight': 'bold' } : {};
    parts.push(
      writing(x, y + 15, name, style),
      writing(x + 270, y + 15, fixed(pattern.jobNeededClearance, 2), { 'text-anchor': 'end', ...style }),
    );
    y += lineHeight + 2;
  };
  for (const pattern of plan.patterns)
    row(
      pattern,
      `best ${pattern.places.length}${pattern === chosen ? ', these' : ', elsewhere'}`,
      pattern === chosen,
    );
  if (plan.present !== undefined)
    row(plan.present, `with the ${plan.present.places.length} drawn marks`, plan.present === chosen);
  y += 4;
  if (clearance !== undefined) text(`The job has ${fixed(clearance, 2)} mm.`);
  if (chosen.worstOpening !== undefined)
    text(`Needs most (heavy rim): ${chosen.worstOpening}, ${fixed(chosen.neededClearance, 2)} mm.`);
  heading('Predicted error, mm');
  if (bands === undefined) {
    text('None can be claimed: nothing is left over to estimate the sd of a reading from.');
    return { svg: element('g', { 'data-part': 'column' }, ...parts), bottom: y };
  }
  text('One standard deviation in the worst direction, of an edge that lies there.');
  y += 8;
  const figure = (value: number): string => fixed(value, bands.decimals);
  const limits = [bands.least, ...bands.regions.map(({ level }) => level), bands.most];
  for (let i = limits.length - 2; i >= 0; i--) {
    const below =
      i === 0 ? `up to ${figure(limits[1]!)}` : `${figure(limits[i]!)} to ${figure(limits[i + 1]!)}`;
    const words = i === limits.length - 2 && i > 0 ? `above ${figure(limits[i]!)}` : below;
    parts.push(
      element('rect', {
        x,
        y,
        width: 34,
        height: lineHeight,
        fill: bands.colours[Math.min(i, bands.colours.length - 1)]!,
        stroke: palette.quiet,
        'stroke-width': 0.6,
      }),
      writing(x + 48, y + 15, words),
    );
    y += lineHeight;
  }
  return { svg: element('g', { 'data-part': 'column' }, ...parts), bottom: y };
};
