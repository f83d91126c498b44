/** Geometry that a style gives a basic shape: W3C SVG 2, section 7, and `d` of section 9.3.2. */

import { string } from 'css-tree/utils';
import type { Style } from './declarations.js';

/** Which properties shape which element; on others they say nothing. */
const shapedBy: ReadonlyMap<string, readonly string[]> = new Map([
  ['circle', ['cx', 'cy', 'r']],
  ['ellipse', ['cx', 'cy', 'rx', 'ry']],
  ['rect', ['x', 'y', 'width', 'height', 'rx', 'ry']],
  ['path', ['d']],
  ['line', []],
  ['polyline', []],
  ['polygon', []],
]);

const lengths: ReadonlySet<string> = new Set(['cx', 'cy', 'r', 'rx', 'ry', 'x', 'y', 'width', 'height']);
const sizes: ReadonlySet<string> = new Set(['r', 'rx', 'ry', 'width', 'height']);
const mayBeAuto: ReadonlySet<string> = new Set(['rx', 'ry', 'width', 'height']);

const number = '[+-]?(?:[0-9]+|[0-9]*\\.[0-9]+)(?:e[+-]?[0-9]+)?';
const plainLength = new RegExp(`^(?:${number}(?:px|mm|cm|in|pt|pc|q|%)|[+-]?0*[.]?0+)$`, 'i');
/**
 * A number without a unit, which programs take as px or pass over, and units of fonts and windows.
 */
const otherLength = new RegExp(`^${number}[a-z]*$`, 'i');
const isReset = (value: string): boolean => /^(initial|unset|revert)$/i.test(value);
const pathString = /^path\(\s*("[^"]*"|'[^']*')\s*\)$/i;

const isGeometryName = (property: string): boolean => property === 'd' || lengths.has(property);

/**
 * True for what shapes an element, as far as CSS would not pass over it; undefined for other
 * properties.
 */
export const isUsableGeometry = (property: string, value: string): boolean | undefined => {
  if (!isGeometryName(property)) return undefined;
  if (isReset(value)) return true;
  if (property === 'd') return value.toLowerCase() === 'none' || /^path\(|var\(/i.test(value);
  if (value.includes('(')) return true;
  if (mayBeAuto.has(property) && /^(auto|[a-z-]+-content)$/i.test(value)) return true;
  if (!plainLength.test(value) && !otherLength.test(value)) return false;
  return !(sizes.has(property) && Number.parseFloat(value) < 0);
};

type Attributes = Readonly<Record<string, string | undefined>>;

/**
 * The attributes of a basic shape with those its style gives it in place of its own.
 * @param refuse is called for a value that counts and is not understood here: calculated,
 * inherited, without a unit
 */
export const shapedAttributes = (
  name: string,
  attributes: Attributes,
  style: Style,
  refuse: (property: string, value: string) => Error,
): Attributes => {
  if (style.size === 0) return attributes;
  const changed: Record<string, string | undefined> = {};
  for (const property of shapedBy.get(name) ?? []) {
    const value = style.get(property)?.trim();
    if (value === undefined || value === '') continue;
    const word = value.toLowerCase();
    const path = property === 'd' ? pathString.exec(value)?.[1] : undefined;
    if (isReset(value) || (mayBeAuto.has(property) && word === 'auto')) changed[property] = undefined;
    else if (property === 'd' && word === 'none') changed.d = undefined;
    else if (path !== undefined) changed.d = string.decode(path);
    else if (property !== 'd' && plainLength.test(value)) changed[property] = value;
    else throw refuse(property, value);
  }
  return Object.keys(changed).length === 0 ? attributes : { ...attributes, ...changed };
};

/** Whether `shapedAttributes` says all there is to say of a property on such an element. */
export const isGeometry = (name: string, property: string): boolean =>
  isGeometryName(property) || (name !== 'rect' && /^(inline|block)-size$/.test(property));
