/** What stands beside the picture of a plan: what is needed, what each mark brings, the bands. */
import { markRadius } from '../../../drawing/write/marked-drawing.js';
import type { Plan, PlannedPattern } from '../../../plan/plan.js';
import { fixed, shortened } from '../../text/layout.js';
import { kindNames } from '../../text/plan-text.js';
import { letteringWidth } from '../list-labels.js';
import { colours, sizes } from '../picture-style.js';
import { element, wrappedWriting, writing } from '../svg-text.js';
import type { ErrorBands } from './plan-bands.js';

export const planColumnWidth = 350;
const lineHeight = 21;
/** Letters of a mark's name, beside its figures. */
const longestName = 10;

/** Writing with a light rim, to be read on any ground. */
export const labelled = (
  x: number,
  y: number,
  text: string,
  attributes: Readonly<Record<string, string | number>>,
): string =>
  writing(x, y, text, {
    ...attributes,
    fill: 'none',
    stroke: colours.page,
    'stroke-width': 3.4,
    'stroke-linejoin': 'round',
    'stroke-opacity': 0.85,
  }) + writing(x, y, text, attributes);

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
  const names = chosen.places.map(({ name }) => shortened(name, longestName));
  // Bold letters are a tenth wider.
  const wide = Math.max(32, ...names.map((name) => 1.1 * letteringWidth(name, sizes.text)));
  const figuresAt = x + wide + 12;
  for (const [i, place] of chosen.places.entries()) {
    parts.push(
      writing(x, y + 15, names[i]!, { 'font-weight': 'bold', fill: colours.accent }),
      writing(figuresAt, y + 15, `${fixed(place.at.x, 1)}, ${fixed(place.at.y, 1)}`),
      writing(
        Math.max(x + 160, figuresAt + 104),
        y + 15,
        `${kindNames[place.kind]}${place.shape === undefined ? '' : `: ${place.shape}`}`,
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
        stroke: colours.rim,
        'stroke-width': 0.6,
      }),
      writing(x + 48, y + 15, words),
    );
    y += lineHeight;
  }
  return { svg: element('g', { 'data-part': 'column' }, ...parts), bottom: y };
};
