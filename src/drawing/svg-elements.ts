/** Which SVG elements are groups, which hold material for others, and which the reader leaves out. */

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
