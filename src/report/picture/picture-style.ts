/** Colours, sizes and strokes of a picture, in one place. */
import type { PictureRole } from './picture-input.js';

/** Dark on light throughout, so that the picture reads in grey as well; the accent belongs to the beam alone. */
export const colours = {
  page: '#ffffff',
  ink: '#1f2622',
  quiet: '#59635d',
  hairline: '#c3ccc6',
  panel: '#d5ded8',
  opening: '#fbf8ef',
  rim: '#7c8881',
  accent: '#5b2a86',
} as const;

export const face = 'Helvetica, Arial, sans-serif';

export const sizes = { title: 28, text: 15, small: 12.5 } as const;

type Attributes = Readonly<Record<string, string | number>>;

/** How a shape of each role is drawn; in this order, later ones on top. */
export const roleStyle: Readonly<Record<PictureRole, Attributes>> = {
  outline: { fill: colours.panel, stroke: colours.rim, 'stroke-width': 1 },
  opening: { fill: colours.opening, 'fill-rule': 'evenodd', stroke: colours.rim, 'stroke-width': 0.8 },
  unused: { fill: 'none', stroke: colours.quiet, 'stroke-width': 1, 'stroke-dasharray': '5 4' },
  mark: { fill: 'none', stroke: colours.ink, 'stroke-width': 1 },
  beam: { fill: 'none', stroke: colours.accent, 'stroke-width': 1.2 },
};

export const roleNames: Readonly<Record<PictureRole, readonly [one: string, many: string]>> = {
  outline: ['outline', 'outlines'],
  opening: ['opening', 'openings'],
  unused: ['shape not used', 'shapes not used'],
  mark: ['drawn mark', 'drawn marks'],
  beam: ['cut path', 'cut paths'],
};

export const roleOrder = Object.keys(roleStyle) as readonly PictureRole[];
