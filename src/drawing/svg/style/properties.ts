/** The few properties that decide what is drawn, and in which colour. */

import { parseColour } from '../../model/colour.js';
import type { Style } from './declarations.js';
import { isUsableGeometry } from './geometry.js';

/**
 * They move or shape what is drawn (SVG 2, sections 8.5 and 10). As attributes they are read; as
 * styles those that shape a basic shape (see `geometry.ts`), and the others are refused.
 */
export const shapingProperties: ReadonlySet<string> = new Set([
  'transform',
  'translate',
  'rotate',
  'scale',
  'offset-path',
  'd',
  'x',
  'y',
  'cx',
  'cy',
  'r',
  'rx',
  'ry',
  'width',
  'height',
  'inline-size',
  'block-size',
]);

/** What an element hands to those inside it. */
export interface Inherited {
  readonly visible: boolean;
  /** `#rrggbb`, `none`, `currentcolor`, or as written where it is no plain colour (a gradient). */
  readonly stroke?: string | undefined;
  /** As the stroke; undefined where nothing is stated, which is black (SVG 2, section 13.2). */
  readonly fill?: string | undefined;
  /** False where the filling is fully transparent. */
  readonly fillSeen: boolean;
  /** What `currentcolor` stands for: `#rrggbb`, or `none`. */
  readonly color: string;
}

/** What `inheritedBy` and `isDisplayed` ask an element for. */
export const inheritedProperties: ReadonlySet<string> = new Set([
  'display',
  'visibility',
  'stroke',
  'fill',
  'fill-opacity',
  'color',
]);

export const initial: Inherited = { visible: true, fillSeen: true, color: '#000000' };

type Attributes = Readonly<Record<string, string | undefined>>;

const visibilities: ReadonlyMap<string, boolean> = new Map([
  ['visible', true],
  ['initial', true],
  ['hidden', false],
  ['collapse', false],
]);
const inheriting = /^(inherit|unset|revert|revert-layer)?$/;

/** True unless CSS would pass over the declaration as one that is not understood. */
export const isUsable = (property: string, value: string): boolean => {
  const word = value.toLowerCase();
  if (word !== '' && inheriting.test(word)) return true;
  if (property === 'visibility') return visibilities.has(word) || word.includes('var(');
  if (property === 'display') return /^[a-z-]+( [a-z-]+)*$/.test(word) || word.includes('var(');
  if (property === 'fill-opacity') return opacityIn(word) !== undefined;
  if (property === 'stroke' || property === 'fill' || property === 'color')
    return paintOf(value) !== undefined;
  return isUsableGeometry(property, value) ?? true;
};

const specified = (property: string, style: Style, attributes: Attributes): string =>
  (style.get(property) ?? attributes[property])?.trim() ?? '';

/** What holds inside `element`, given what holds around it. */
export const inheritedBy = (attributes: Attributes, style: Style, outer: Inherited): Inherited => {
  const stroke = strokeIn(specified('stroke', style, attributes)) ?? outer.stroke;
  return {
    visible: visibilities.get(specified('visibility', style, attributes).toLowerCase()) ?? outer.visible,
    stroke,
    fill: fillIn(specified('fill', style, attributes)) ?? outer.fill,
    fillSeen: seenIn(specified('fill-opacity', style, attributes)) ?? outer.fillSeen,
    color: colorIn(specified('color', style, attributes)) ?? outer.color,
  };
};

export const isDisplayed = (attributes: Attributes, style: Style): boolean =>
  specified('display', style, attributes).toLowerCase() !== 'none';

/** The stroke of a shape that inherits this: a colour where it has one. */
export const strokeOf = ({ stroke, color }: Inherited): string | undefined =>
  stroke === 'currentcolor' ? color : stroke;

/**
 * The fill of a shape that inherits this: a colour where it has one; undefined where nothing of it
 * is seen.
 */
export const fillOf = ({ fill, fillSeen, color }: Inherited): string | undefined => {
  const paint = fill === 'currentcolor' ? color : (fill ?? initial.color);
  return paint === 'none' || !fillSeen ? undefined : paint;
};

/**
 * How the area of a shape that inherits this is filled, where it is: `alone` without a stroke round
 * it; `stroked` with one, where the file states the filling. A stroke without a word about the
 * filling is a line, though a browser fills it with black.
 */
export const filledBy = ({ stroke, fill, fillSeen, color }: Inherited): 'alone' | 'stroked' | undefined => {
  const paint = fill === 'currentcolor' ? color : fill;
  if (paint === 'none' || !fillSeen) return undefined;
  if ((stroke ?? 'none') === 'none') return 'alone';
  return paint === undefined ? undefined : 'stroked';
};

const fillIn = (text: string): string | undefined => {
  if (inheriting.test(text.toLowerCase())) return undefined;
  return text.toLowerCase() === 'initial' ? initial.color : paintOf(text);
};

const opacityIn = (word: string): number | undefined => {
  if (word === 'initial') return 1;
  return /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?%?$/.test(word) ? Number.parseFloat(word) : undefined;
};

const seenIn = (text: string): boolean | undefined => {
  const opacity = opacityIn(text.toLowerCase());
  return opacity === undefined ? undefined : opacity > 0;
};

/** Undefined: it is taken over from around. */
const strokeIn = (text: string): string | undefined => {
  if (inheriting.test(text.toLowerCase())) return undefined;
  return text.toLowerCase() === 'initial' ? 'none' : paintOf(text);
};

const colorIn = (text: string): string | undefined => {
  const word = text.toLowerCase();
  if (word === 'initial') return initial.color;
  return word === 'currentcolor' ? undefined : parseColour(text);
};

/** Undefined for what is no paint (SVG 2, section 13.2), which then does not count. */
const paintOf = (text: string): string | undefined => {
  const word = text.toLowerCase();
  if (word === 'initial' || word === 'currentcolor') return word;
  return parseColour(text) ?? (/^(url|[a-z-]+)\(|^context-/i.test(text) ? text : undefined);
};
