/**
 * Which SVG elements are groups, which hold material for others, and which the reader leaves out.
 */

import { inheritedProperties } from './style/properties.js';

/** Drawn as they stand, with everything inside. */
export const groupElements: ReadonlySet<string> = new Set(['g', 'a', 'switch']);

/** Nothing inside is drawn where it stands. */
export const storeElements: ReadonlySet<string> = new Set(['defs', 'symbol']);

/** They say nothing about what is drawn. */
export const silentElements: ReadonlySet<string> = new Set([
  'title',
  'desc',
  'metadata',
  'view',
  'style',
  'linearGradient',
  'radialGradient',
  'stop',
  'meshgradient',
  'solidcolor',
  'hatch',
  'pattern',
  'marker',
  'clipPath',
  'mask',
  'filter',
  'cursor',
  'color-profile',
  'font',
  'font-face',
]);

/** Drawn by a browser, not taken over; with the reason. */
export const leftOutElements: ReadonlyMap<string, string> = new Map([
  ['text', 'letters have no outline of their own here: convert text to paths if it is to be cut'],
  ['image', 'a picture has no edges to cut'],
  ['foreignObject', 'it holds content that is not SVG'],
  ['video', 'it has no edges to cut'],
  ['audio', 'it has no edges to cut'],
  ['canvas', 'it has no edges to cut'],
  ['iframe', 'it has no edges to cut'],
  ['script', 'scripts are not run'],
  ['animate', 'the drawing is taken as it stands, without animation'],
  ['animateTransform', 'the drawing is taken as it stands, without animation'],
  ['animateMotion', 'the drawing is taken as it stands, without animation'],
  ['animateColor', 'the drawing is taken as it stands, without animation'],
  ['set', 'the drawing is taken as it stands, without animation'],
]);

/** Properties that change what is seen of a shape that is taken as drawn. */
export const effectProperties: ReadonlyMap<string, string> = new Map([
  ['clip-path', 'the shape is taken whole, unclipped'],
  ['mask', 'the shape is taken whole, unmasked'],
  ['filter', 'the shape is taken as drawn, without the filter'],
  ['marker', 'only the line itself is taken, without markers'],
  ['marker-start', 'only the line itself is taken, without markers'],
  ['marker-mid', 'only the line itself is taken, without markers'],
  ['marker-end', 'only the line itself is taken, without markers'],
]);

/**
 * What the attributes of an element say beside its form: most elements say little, and little has
 * to be asked.
 */
export const traits = { id: 1, label: 2, look: 4, effect: 8, condition: 16 } as const;

const traitsByName: ReadonlyMap<string, number> = new Map([
  ['id', traits.id],
  ['label', traits.label],
  ['data-name', traits.label],
  ['requiredExtensions', traits.condition],
  ['systemLanguage', traits.condition],
  ...[...inheritedProperties].map((name): [string, number] => [name, traits.look]),
  ...[...effectProperties.keys()].map((name): [string, number] => [name, traits.effect]),
]);

/** The trait of an attribute, by its name; 0 for most. */
export const traitOf = (attribute: string): number =>
  traitsByName.get(attribute) ?? (isLabel(attribute) ? traits.label : 0);

/**
 * `label` in any namespace, and `data-name`: what drawing programs write for the names of layers.
 */
export const isLabel = (attribute: string): boolean =>
  attribute === 'label' ||
  attribute === 'data-name' ||
  (attribute.length > 6 && attribute.endsWith(':label'));
