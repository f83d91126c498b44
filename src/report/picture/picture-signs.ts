/** Signs as SVG: marks, witness points, touches, numbered places, findings, arrows. */
import { add, length, type Point, scale, unit } from '../../geometry/point.js';
import { letteringWidth } from './lettering.js';
import { sizes } from './role-style.js';
import { dashes, diamond, palette, saltire, signs, triangle } from './signs.js';
import { element, writing } from './svg-text.js';

/**
 * The sign of a mark: a ring with a dot.
 * @param larger multiplies it: a mark that is planned stands out from those that are there
 */
export const markSign = (
  at: Point,
  {
    larger = 1,
    colour = palette.ink,
    unread = false,
  }: { larger?: number; colour?: string; unread?: boolean } = {},
): string =>
  element('circle', {
    'data-part': 'mark',
    cx: at.x,
    cy: at.y,
    r: signs.mark.ring * larger,
    fill: palette.paper,
    stroke: colour,
    'stroke-width': signs.mark.line * larger,
    ...(unread ? { 'stroke-dasharray': dashes.unread } : {}),
  }) + element('circle', { cx: at.x, cy: at.y, r: signs.mark.dot * larger, fill: colour });

/** The sign of a touch: a square on its corner. */
export const touchSign = (at: Point, larger = 1): string =>
  element('path', {
    d: diamond(at, signs.touch.half * larger),
    fill: palette.paper,
    stroke: palette.ink,
    'stroke-width': signs.touch.line * larger,
  });

/** The sign of a witness point: two strokes across, on a rim of paper. */
export const witnessSign = (at: Point): string =>
  element('path', {
    d: saltire(at),
    fill: 'none',
    stroke: palette.paper,
    'stroke-width': 5,
    'stroke-linecap': 'round',
  }) +
  element('path', { d: saltire(at), fill: 'none', stroke: palette.ink, 'stroke-width': signs.witness.line });

/** The sign of what a cut does to the piece: a triangle in the colour of errors. */
export const findingSign = (at: Point): string =>
  element('path', { d: triangle(at), fill: palette.error, stroke: palette.paper, 'stroke-width': 1.5 });

/**
 * A straight arrow with its point at `to`; its head shrinks with it, and nothing is drawn below
 * half a picture unit.
 */
export const arrow = (from: Point, to: Point, colour: string = palette.error): string => {
  const along = { x: to.x - from.x, y: to.y - from.y };
  const size = length(along);
  if (size < 0.5) return '';
  const head = Math.min(9, size * 0.6);
  const forward = unit(along);
  const neck = add(to, scale(forward, -head));
  const wing = scale({ x: -forward.y, y: forward.x }, head * 0.38);
  const corners = [to, add(neck, wing), add(neck, scale(wing, -1))];
  return (
    element('line', {
      class: 'arrow',
      x1: from.x,
      y1: from.y,
      x2: neck.x,
      y2: neck.y,
      stroke: colour,
      'stroke-width': 1.8,
    }) +
    element('polygon', {
      points: corners.map((p) => `${p.x.toFixed(2)},${p.y.toFixed(2)}`).join(' '),
      fill: colour,
    })
  );
};

/** A number in a ring, as used in the picture and beside it; filled for the place that decides. */
export const chip = (centre: Point, sign: string, decides = false): string => {
  const { width, height } = chipSize(sign);
  return (
    element('rect', {
      x: centre.x - width / 2,
      y: centre.y - height / 2,
      width,
      height,
      rx: height / 2,
      fill: decides ? palette.ink : palette.paper,
      stroke: palette.ink,
      'stroke-width': signs.place.line,
    }) +
    writing(centre.x, centre.y + 4.4, sign, {
      'text-anchor': 'middle',
      'font-size': sizes.small,
      'font-weight': 'bold',
      fill: decides ? palette.paper : palette.ink,
    })
  );
};

/** A ring, drawn out for longer signs. */
export const chipSize = (sign: string): { readonly width: number; readonly height: number } => {
  const height = 2 * signs.place.ring;
  return { width: Math.max(height, letteringWidth(sign, sizes.small, true) + 8), height };
};

/** From a place to its number or name. */
export const leadLine = ([from, to]: readonly [Point, Point]): string =>
  element('line', {
    x1: from.x,
    y1: from.y,
    x2: to.x,
    y2: to.y,
    stroke: palette.ink,
    'stroke-width': 0.9,
  });

/** Writing with a rim of paper, to be read on any ground. */
export const rimmed = (
  x: number,
  y: number,
  text: string,
  attributes: Readonly<Record<string, string | number>>,
): string =>
  writing(x, y, text, {
    ...attributes,
    stroke: palette.paper,
    'stroke-width': 3.4,
    'stroke-linejoin': 'round',
    'stroke-opacity': 0.85,
    'paint-order': 'stroke',
  });
