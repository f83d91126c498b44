/** The drawn part of a picture: its shapes, and the ticks along its frame. */
import { pathData } from '../../drawing/write/path-data.js';
import { apply, invert, type Matrix } from '../../geometry/affine.js';
import { pathBox } from '../../geometry/curve.js';
import { type Box, boxesMeet } from '../../geometry/point.js';
import { fixed } from '../text/layout.js';
import type { PictureRole, PictureShape } from './picture-input.js';
import { colours, roleOrder, roleStyle, sizes } from './picture-style.js';
import { element, escaped, roundStep, writing } from './svg-text.js';

export interface Frame {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** How shapes are drawn in one place: moved, cut down to what is seen, with strokes of their own weight. */
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
}

/** The shapes, lowest role first. */
export const shapesOn = (shapes: readonly PictureShape[], view: View): string =>
  roleOrder
    .map((role) => {
      const drawn = shapes
        .filter((shape) => shape.role === role && isSeen(shape, view.within))
        .map(({ id, paths }) =>
          element(
            'path',
            { d: paths.map((path) => pathData(path, view.toPicture, 2)).join('') },
            id === undefined ? '' : element('title', {}, escaped(id)),
          ),
        );
      if (drawn.length === 0) return '';
      const style = { ...roleStyle[role], 'stroke-width': strokeOf(role, view), 'stroke-miterlimit': 10 };
      return element('g', { 'data-role': role, ...style }, ...drawn);
    })
    .join('\n');

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
    element('line', { x1, y1, x2, y2, stroke: colours.rim, 'stroke-width': 1 });
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
    { 'font-size': sizes.small, fill: colours.quiet },
    element('rect', { ...frame, fill: 'none', stroke: colours.hairline, 'stroke-width': 1 }),
    ...across,
    ...upwards,
    writing(frame.x + frame.width, bottom + 36, what, { 'text-anchor': 'end' }),
  );
};
