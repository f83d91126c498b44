/**
 * `transform`, `transform-origin` and `transform-box` as styles: W3C CSS Transforms Module Level 1.
 */
import { compose, identity, type Matrix, translation } from '../../../geometry/affine.js';
import type { Box } from '../../../geometry/point.js';
import type { millimetresIn } from '../../model/units.js';
import { inUserUnits, type Viewport } from '../svg-lengths.js';
import { parseTransform } from './transform-attribute.js';

/** What percentages and keywords refer to, in user units. */
export interface ReferenceBox {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

const number = '[+-]?(?:[0-9]+\\.?[0-9]*|\\.[0-9]+)(?:e[+-]?[0-9]+)?';
const measure = new RegExp(`^(${number})([a-z%]*)$`, 'i');
const call = /^\s*([a-z0-9]+)\(([^()]*)\)/i;

const degreesIn: Readonly<Record<string, number>> = { deg: 1, grad: 0.9, rad: 180 / Math.PI, turn: 360 };

/** Undefined for what is no such length: a number other than 0 needs a unit. */
const lengthIn = (
  text: string,
  along: 'x' | 'y',
  box: ReferenceBox,
  viewport: Viewport,
): number | undefined => {
  const [, digits, unit] = measure.exec(text) ?? [];
  if (digits === undefined) return undefined;
  const value = Number(digits);
  const name = unit!.toLowerCase();
  if (name === '') return value === 0 ? 0 : undefined;
  if (name === '%') return (value / 100) * (along === 'x' ? box.width : box.height);
  if (name !== 'px' && name !== 'q' && !/^(mm|cm|in|pt|pc)$/.test(name)) return undefined;
  return inUserUnits(
    { value, unit: name as 'px' | keyof Pick<typeof millimetresIn, 'q' | 'mm'> },
    along,
    viewport,
  );
};

const degreesOf = (text: string): number | undefined => {
  const [, digits, unit] = measure.exec(text) ?? [];
  if (digits === undefined) return undefined;
  const value = Number(digits);
  if (unit === '') return value === 0 ? 0 : undefined;
  const times = degreesIn[unit!.toLowerCase()];
  return times === undefined ? undefined : value * times;
};

const plainNumber = (text: string): number | undefined => {
  const [, digits, unit] = measure.exec(text) ?? [];
  if (digits === undefined || (unit !== '' && unit !== '%')) return undefined;
  return unit === '%' ? Number(digits) / 100 : Number(digits);
};

/** The functions of a list, each as the attribute `transform` writes it. */
const asAttribute = (
  name: string,
  words: readonly string[],
  box: ReferenceBox,
  viewport: Viewport,
): string | undefined => {
  const written = (as: string, values: readonly (number | undefined)[]): string | undefined =>
    values.includes(undefined) ? undefined : `${as}(${values.join(' ')})`;
  const x = (i: number): number | undefined => lengthIn(words[i] ?? '0', 'x', box, viewport);
  const y = (i: number): number | undefined => lengthIn(words[i] ?? '0', 'y', box, viewport);
  const counts = (least: number, most: number): boolean => words.length >= least && words.length <= most;
  switch (name) {
    case 'matrix':
      return counts(6, 6) ? written('matrix', words.map(plainNumber)) : undefined;
    case 'translate':
      return counts(1, 2) ? written('translate', [x(0), y(1)]) : undefined;
    case 'translate3d':
      return counts(3, 3) ? written('translate', [x(0), y(1)]) : undefined;
    case 'translatex':
      return counts(1, 1) ? written('translate', [x(0), 0]) : undefined;
    case 'translatey':
      return counts(1, 1) ? written('translate', [0, y(0)]) : undefined;
    case 'translatez':
      return counts(1, 1) ? '' : undefined;
    case 'scale':
      return counts(1, 2) ? written('scale', words.map(plainNumber)) : undefined;
    case 'scalex':
      return counts(1, 1) ? written('scale', [plainNumber(words[0]!), 1]) : undefined;
    case 'scaley':
      return counts(1, 1) ? written('scale', [1, plainNumber(words[0]!)]) : undefined;
    case 'rotate':
    case 'rotatez':
      return counts(1, 1) ? written('rotate', words.map(degreesOf)) : undefined;
    case 'skewx':
      return counts(1, 1) ? written('skewX', words.map(degreesOf)) : undefined;
    case 'skewy':
      return counts(1, 1) ? written('skewY', words.map(degreesOf)) : undefined;
    case 'skew': {
      if (!counts(1, 2)) return undefined;
      // One map, not one after the other: x' = x + y tan a, y' = y + x tan b.
      const [a, b] = [degreesOf(words[0]!), degreesOf(words[1] ?? '0')];
      if (a === undefined || b === undefined) return undefined;
      const tangent = (degrees: number): number => Math.tan((degrees * Math.PI) / 180);
      return written('matrix', [1, tangent(b), tangent(a), 1, 0, 0]);
    }
    default:
      return undefined;
  }
};

/**
 * The map of a style's `transform`; undefined for a value that is not understood: calculated,
 * inherited, in space.
 */
export const styledTransform = (text: string, box: ReferenceBox, viewport: Viewport): Matrix | undefined => {
  if (/^\s*(none|initial|unset|revert|revert-layer)\s*$/i.test(text)) return identity;
  let whole: Matrix = identity;
  let rest = text;
  while (rest.trim() !== '') {
    const [all, name, inner] = call.exec(rest) ?? [];
    if (all === undefined) return undefined;
    const words = inner!.split(',').map((word) => word.trim());
    const attribute = asAttribute(name!.toLowerCase(), words, box, viewport);
    if (attribute === undefined) return undefined;
    whole = compose(whole, parseTransform(attribute));
    rest = rest.slice(all.length);
  }
  return whole;
};

const shares: Readonly<Record<string, number>> = { left: 0, top: 0, center: 0.5, right: 1, bottom: 1 };

/** Where a `transform-origin` lies, in user units; undefined for a value that is not understood. */
export const transformOrigin = (
  text: string,
  box: ReferenceBox,
  viewport: Viewport,
  isAttribute: boolean,
): { readonly x: number; readonly y: number } | undefined => {
  const words = text.trim().toLowerCase().split(/\s+/);
  if (words.length > 3 || words[0] === '') return undefined;
  let [first = '', second = 'center'] = words;
  if (/^(top|bottom)$/.test(first) || /^(left|right)$/.test(second)) [first, second] = [second, first];
  if (/^(top|bottom)$/.test(first) || /^(left|right)$/.test(second)) return undefined;
  const place = (word: string, along: 'x' | 'y'): number | undefined => {
    const share = shares[word];
    if (share !== undefined) return share * (along === 'x' ? box.width : box.height);
    // Attributes may leave the unit out, as all presentation attributes of SVG may.
    const bare = isAttribute ? plainUnits(word) : undefined;
    return bare ?? lengthIn(word, along, box, viewport);
  };
  const [x, y] = [place(first, 'x'), place(second, 'y')];
  return x === undefined || y === undefined ? undefined : { x: box.x + x, y: box.y + y };
};

const plainUnits = (word: string): number | undefined =>
  new RegExp(`^${number}$`, 'i').test(word) ? Number(word) : undefined;

/** A map about another origin. */
export const about = ({ x, y }: { readonly x: number; readonly y: number }, matrix: Matrix): Matrix =>
  compose(compose(translation(x, y), matrix), translation(-x, -y));

export const referenceOf = ({ minX, minY, maxX, maxY }: Box): ReferenceBox =>
  minX > maxX
    ? { x: 0, y: 0, width: 0, height: 0 }
    : { x: minX, y: minY, width: maxX - minX, height: maxY - minY };
