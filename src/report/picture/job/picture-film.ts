/** Strips of film on a picture: their edges, the seams between them, a number on each strip. */
import { apply, type Matrix } from '../../../geometry/affine.js';
import { between, type Point } from '../../../geometry/point.js';
import { around, type LabelRoom } from '../label-room.js';
import type { PictureFilm } from '../picture-input.js';
import { chip, chipSize } from '../picture-signs.js';
import { palette } from '../signs.js';
import { element } from '../svg-text.js';

export const stripEdge = {
  fill: 'none',
  stroke: palette.ink,
  'stroke-width': 1.2,
  'stroke-dasharray': '10 5',
};
/** Two layers of film: a shade over panel and openings alike. */
export const seamBand = { fill: palette.ink, 'fill-opacity': 0.18, stroke: 'none' };

const outline = (corners: readonly Point[], toPicture: Matrix): string =>
  `M${corners
    .map((corner) => apply(toPicture, corner))
    .map(({ x, y }) => `${x.toFixed(2)},${y.toFixed(2)}`)
    .join('L')}Z`;

/** Below everything that is cut, so that the beam's paths stay in sight. */
export const filmOn = ({ strips, seams }: PictureFilm, toPicture: Matrix): string =>
  element(
    'g',
    { 'data-part': 'film' },
    ...seams.map((corners) => element('path', { d: outline(corners, toPicture), ...seamBand })),
    ...strips.map((corners) => element('path', { d: outline(corners, toPicture), ...stripEdge })),
  );

/** A number at the start of each strip, outside the panel. */
export const stripNumbers = ({ strips }: PictureFilm, toPicture: Matrix, room: LabelRoom): string =>
  strips
    .map((corners, i) => {
      const [a, b, c, d] = corners.map((corner) => apply(toPicture, corner)) as [Point, Point, Point, Point];
      const start = between(a, d, 0.5);
      const end = between(b, c, 0.5);
      const size = Math.hypot(end.x - start.x, end.y - start.y) || 1;
      const away = between(start, end, -24 / size);
      const { width, height } = chipSize(stripName(i));
      const box = around(away, width, height);
      if (room.isFree(box)) {
        room.take(box);
        return chip(away, stripName(i));
      }
      const label = room.beside(start, { width, height }, { gap: 14 });
      return label === undefined ? '' : chip(label.at, stripName(i));
    })
    .join('');

export const stripName = (index: number): string => `F${index + 1}`;
