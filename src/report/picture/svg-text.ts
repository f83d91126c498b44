/** SVG as text: elements, and lines of writing in a picture. */
import { powerOfTen } from '../../numeric/powers.js';

type Attributes = Readonly<Record<string, string | number>>;

/** Text made safe for XML; characters that XML 1.0 does not allow become a replacement sign. */
export const escaped = (text: string): string =>
  text
    .replace(/[^\t\n\r\u{20}-\u{D7FF}\u{E000}-\u{FFFD}\u{10000}-\u{10FFFF}]/gu, '\u{FFFD}')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    .replace(/"/g, '&quot;');

/** At most two decimals: a hundredth of a picture unit is far below what a screen shows. */
const attribute = (value: string | number): string =>
  typeof value === 'number' ? String(Math.round(value * 100) / 100 + 0) : escaped(value);

/** One element; `content` is XML already. */
export const element = (name: string, attributes: Attributes, ...content: readonly string[]): string => {
  const written = Object.entries(attributes).map(([key, value]) => ` ${key}="${attribute(value)}"`);
  const inside = content.join('');
  return inside === '' ? `<${name}${written.join('')}/>` : `<${name}${written.join('')}>${inside}</${name}>`;
};

/** One line of writing with its baseline at (x, y). */
export const writing = (x: number, y: number, text: string, attributes: Attributes = {}): string =>
  element('text', { x, y, ...attributes }, escaped(text));

/** The largest of 1, 2, 5, 10, 20 ... (and 0.5, 0.2, 0.1 ...) that is not above `most`. */
export const roundStep = (most: number): number => {
  const decade = powerOfTen(Math.floor(Math.log10(most)));
  const step = [5, 2, 1].find((s) => s * decade <= most * (1 + 1e-9)) ?? 1;
  return Number((step * decade).toPrecision(1));
};
