/** The drawn part of a picture: its shapes, and the ticks along its frame. */
import { pathData } from '../../drawing/write/path-data.js';
import { apply, invert, type Matrix } from '../../geometry/affine.js';
import { pathBox } from '../../geometry/curve.js';
import { type Box, boxesMeet } from '../../geometry/point.js';
import { fixed } from '../text/layout.js';
import type { PictureRole, PictureShape } from './picture-input.js';
import { roleOrder, roleStyle, sizes } from './role-style.js';
import { dashes, palette, weights } from './signs.js';
import { element, escaped, roundStep, writing } from './svg-text.js';

export interface Frame {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/**
 * How shapes are drawn in one place: moved, cut down to what is seen, with strokes of their own
 * weight.
 */
export interface View {
  readonly toPicture: Matrix;
  /** Picture units per mm. */
  readonly scale: number;
  /** mm; what lies outside this box is left out. */
  readonly within?: Box;
  /** Multiplies the strokes. */
  readonly heavier?: number;
  /** mm; a beam's path is drawn this wide where that is more than a thin line. */
  readonly kerf?: number;
  /** mm; openings are shown this much larger on each side. */
  readonly pierced?: number;
}

/**
 * The shapes, lowest role first; openings that may touch or do not fit with a heavy edge over all
 * others.
 */
export const shapesOn = (shapes: readonly PictureShape[], view: View): string =>
  [
    ...roleOrder.map((role) => roleOn(role, shapes, view)),
    brokenOn(piercedWide(view) < 1 ? shapes : shapes.filter(({ role }) => role !== 'opening'), view, 0),
  ].join('\n');

/** How much wider than its line an opening is drawn, both sides together. */
const piercedWide = ({ pierced = 0, scale }: View): number => 2 * pierced * scale;

const roleOn = (role: PictureRole, shapes: readonly PictureShape[], view: View): string => {
  const seen = shapes.filter((shape) => shape.role === role && isSeen(shape, view.within));
  if (seen.length === 0) return '';
  const width = strokeOf(role, view);
  const style = { ...roleStyle[role], 'stroke-width': width, 'stroke-miterlimit': 10 };
  const drawn = seen.map(({ id, paths }) =>
    element('path', { d: dataOf(paths, view) }, id === undefined ? '' : element('title', {}, escaped(id))),
  );
  const larger = role === 'opening' ? piercedWide(view) : 0;
  if (larger < 1) return element('g', { 'data-role': role, ...style }, ...drawn);
  // The edge that is there lies outside the drawn line: a broad line of paper with a thin rim.
  const broad = { d: seen.map(({ paths }) => dataOf(paths, view)).join(''), fill: 'none' };
  return (
    element('path', { ...broad, stroke: palette.ink, 'stroke-width': larger + 2 * width }) +
    brokenOn(seen, view, larger) +
    element('path', { ...broad, stroke: palette.paper, 'stroke-width': larger }) +
    element('g', { 'data-role': role, ...style, stroke: 'none' }, ...drawn)
  );
};

const dataOf = (paths: PictureShape['paths'], { toPicture }: View): string =>
  paths.map((path) => pathData(path, toPicture, 2)).join('');

const brokenOn = (shapes: readonly PictureShape[], view: View, larger: number): string =>
  (['too-close', 'does-not-fit'] as const)
    .map((verdict) => {
      const own = shapes.filter((shape) => shape.verdict === verdict && isSeen(shape, view.within));
      if (own.length === 0) return '';
      const d = own.map(({ paths }) => dataOf(paths, view)).join('');
      const style = brokenStyle[verdict];
      const width = larger === 0 ? weights.broken : larger + 2 * weights.broken;
      return element('path', { 'data-verdict': verdict, d, ...style, 'stroke-width': width });
    })
    .join('');

/** Solid: it does not fit; dashed: it may touch. */
export const brokenStyle = {
  'too-close': {
    fill: 'none',
    stroke: palette.error,
    'stroke-width': weights.broken,
    'stroke-dasharray': dashes.mayTouch,
  },
  'does-not-fit': { fill: 'none', stroke: palette.error, 'stroke-width': weights.broken },
} as const;

const isSeen = (shape: PictureShape, within: Box | undefined): boolean =>
  within === undefined || shape.paths.some((path) => boxesMeet(pathBox(path), within));

const strokeOf = (role: PictureRole, { scale, heavier = 1, kerf = 0 }: View): number => {
  const thin = Number(roleStyle[role]['stroke-width']) * heavier;
  return role === 'beam' ? Math.max(thin, kerf * scale) : thin;
};

/** The frame with a tick and a figure every round number of mm, about six along its longer side. */
export const ticksOn = (frame: Frame, toPicture: Matrix, what: string): string => {
  const back = invert(toPicture);
  if (!back) return '';
  const one = apply(back, { x: frame.x, y: frame.y });
  const other = apply(back, { x: frame.x + frame.width, y: frame.y + frame.height });
  const step = roundStep(Math.max(Math.abs(other.x - one.x), Math.abs(other.y - one.y)) / 5);
  const decimals = Math.max(0, -Math.floor(Math.log10(step)));
  const bottom = frame.y + frame.height;
  const between = (a: number, b: number): number[] => {
    const first = Math.ceil(Math.min(a, b) / step);
    const count = Math.floor(Math.max(a, b) / step) - first + 1;
    return Array.from({ length: Math.max(0, count) }, (_, i) => (first + i) * step);
  };
  const tick = (x1: number, y1: number, x2: number, y2: number): string =>
    element('line', { x1, y1, x2, y2, stroke: palette.quiet, 'stroke-width': 1 });
  const across = between(one.x, other.x).map((value) => {
    const { x } = apply(toPicture, { x: value, y: 0 });
    return (
      tick(x, bottom, x, bottom + 6) +
      writing(x, bottom + 20, fixed(value, decimals), { 'text-anchor': 'middle' })
    );
  });
  const upwards = between(one.y, other.y).map((value) => {
    const { y } = apply(toPicture, { x: 0, y: value });
    return (
      tick(frame.x - 6, y, frame.x, y) +
      writing(frame.x - 10, y + 4.4, fixed(value, decimals), { 'text-anchor': 'end' })
    );
  });
  return element(
    'g',
    { 'font-size': sizes.small, fill: palette.quiet },
    element('rect', { ...frame, fill: 'none', stroke: palette.hairline, 'stroke-width': 1 }),
    ...across,
    ...upwards,
    writing(frame.x + frame.width, bottom + 36, what, { 'text-anchor': 'end' }),
  );
};
