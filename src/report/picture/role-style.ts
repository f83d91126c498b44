/** How shapes of each role are drawn, what they are called, and the letters of pictures. */
import type { PictureRole } from './picture-input.js';
import { dashes, palette, weights } from './signs.js';

export const face = 'Helvetica, Arial, sans-serif';

export const sizes = { title: 28, head: 22, text: 15, small: 12.5 } as const;

type Attributes = Readonly<Record<string, string | number>>;

/** In this order, later ones on top. */
export const roleStyle: Readonly<Record<PictureRole, Attributes>> = {
  outline: { fill: palette.panel, stroke: palette.ink, 'stroke-width': weights.panel },
  opening: {
    fill: palette.paper,
    'fill-rule': 'evenodd',
    stroke: palette.ink,
    'stroke-width': weights.existing,
  },
  unused: {
    fill: 'none',
    stroke: palette.quiet,
    'stroke-width': weights.unused,
    'stroke-dasharray': dashes.unused,
  },
  mark: { fill: 'none', stroke: palette.ink, 'stroke-width': weights.existing },
  beam: { fill: 'none', stroke: palette.ink, 'stroke-width': weights.cut },
};

export const roleNames: Readonly<Record<PictureRole, readonly [one: string, many: string]>> = {
  outline: ['outline', 'outlines'],
  opening: ['opening', 'openings'],
  unused: ['shape not used', 'shapes not used'],
  mark: ['drawn mark', 'drawn marks'],
  beam: ['cut path', 'cut paths'],
};

export const roleOrder = Object.keys(roleStyle) as readonly PictureRole[];
