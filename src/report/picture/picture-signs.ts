/** Signs put on a picture: marks with their arrows, numbered flags, lettered squares. */
import { apply, applyLinear, type Matrix } from '../../geometry/affine.js';
import {
  add,
  type Box,
  boxesMeet,
  boxOfPoints,
  length,
  type Point,
  scale,
  unit,
} from '../../geometry/point.js';
import { letteringWidth } from './list-labels.js';
import type { Frame } from './picture-field.js';
import type { PictureDetail, PictureFinding, PictureLand, PictureMark } from './picture-input.js';
import { colours, sizes } from './picture-style.js';
import { element, roundStep, writing } from './svg-text.js';

/** The longest arrow, picture units. */
export const longestArrow = 80;

/** mm; below this a residual is rounding and gets no arrow. */
const noResidual = 1e-6;

/**
 * By how much residuals are stretched: the round factor (1, 2, 5, 10 ...) that brings the longest arrow nearest to
 * `longestArrow` without passing it; undefined when there is none to draw.
 * @param pictureScale picture units per mm
 */
export const residualFactor = (marks: readonly PictureMark[], pictureScale: number): number | undefined => {
  const largest = Math.max(0, ...marks.map((mark) => (mark.residual ? length(mark.residual) : 0)));
  return largest < noResidual ? undefined : roundStep(longestArrow / (largest * pictureScale));
};

/**
 * Each mark at its fitted position, its residual as an arrow, its name on the other side; where that would lie on another
 * name, on a sign or an arrow, or beyond the frame, on the side that is freest.
 */
export const marksOn = (
  marks: readonly PictureMark[],
  toPicture: Matrix,
  factor: number | undefined,
  frame: Frame,
): string => {
  const drawn = marks.map((mark) => {
    const at = apply(toPicture, mark.at);
    return {
      mark,
      at,
      stretched: scale(applyLinear(toPicture, mark.residual ?? { x: 0, y: 0 }), factor ?? 0),
    };
  });
  const signs: Box[] = drawn.flatMap(({ at, stretched }) => [
    grown(boxOfPoints([at]), 6),
    ...[0.25, 0.5, 0.75, 1].map((part) => grown(boxOfPoints([add(at, scale(stretched, part))]), 3)),
  ]);
  const names: Box[] = [];
  const met = (boxes: readonly Box[], box: Box): number =>
    boxes.filter((other) => boxesMeet(other, box)).length;
  return drawn
    .map(({ mark, at, stretched }) => {
      const opposite = length(stretched) < 1 ? { x: 0, y: -1 } : unit(scale(stretched, -1));
      const isTouch = mark.kind === 'touch';
      const wide = letteringWidth(mark.name, isTouch ? sizes.small : 1.1 * sizes.text);
      const spots = [opposite, ...sides].map((away) => nameSpot(at, away, wide));
      // A name on another one is read by nobody; on an arrow it is.
      const crowd = spots.map(({ box }) => outside(box, frame) + met(signs, box) + 4 * met(names, box));
      const { x, y, anchor, box } = spots[crowd.indexOf(Math.min(...crowd))]!;
      names.push(box);
      const label = { x, y };
      return element(
        'g',
        mark.kind === 'touch' ? { 'data-touch': mark.name } : { 'data-mark': mark.name },
        mark.kind === 'touch' ? touchSign(at) : markSign(at),
        arrow(at, add(at, stretched)),
        writing(label.x, label.y, mark.name, {
          'text-anchor': anchor,
          ...(isTouch ? { 'font-size': sizes.small } : { 'font-weight': 'bold' }),
        }),
      );
    })
    .join('\n');
};

/** Where a name may stand beside its mark, after the side away from its arrow. */
const sides: readonly Point[] = [
  { x: 0, y: -1 },
  { x: 1, y: 0 },
  { x: -1, y: 0 },
  { x: 0, y: 1 },
];

/** The foot of a name on one side of its mark, and the box that it takes. */
const nameSpot = (at: Point, away: Point, wide: number) => {
  const { x, y } = add(at, { x: away.x * 14, y: away.y * 14 + 5 + (away.y > 0 ? 3 : 0) });
  const anchor = away.x > 0.35 ? 'start' : away.x < -0.35 ? 'end' : 'middle';
  const left = anchor === 'start' ? x : anchor === 'end' ? x - wide : x - wide / 2;
  return { x, y, anchor, box: { minX: left, maxX: left + wide, minY: y - sizes.text + 2, maxY: y + 3 } };
};

const grown = ({ minX, minY, maxX, maxY }: Box, by: number): Box => ({
  minX: minX - by,
  minY: minY - by,
  maxX: maxX + by,
  maxY: maxY + by,
});

/** A name beyond the frame lies on what stands beside the picture: worse than on a line of it. */
const outside = ({ minX, minY, maxX, maxY }: Box, { x, y, width, height }: Frame): number =>
  minX < x || minY < y || maxX > x + width || maxY > y + height ? 8 : 0;

/** The sign of a mark: a ring with its centre. */
export const markSign = (at: Point): string =>
  element('circle', {
    cx: at.x,
    cy: at.y,
    r: 5,
    fill: colours.page,
    stroke: colours.ink,
    'stroke-width': 1.4,
  }) + element('circle', { cx: at.x, cy: at.y, r: 1.4 });

/** The sign of a touch: a square on its point. */
export const touchSign = ({ x, y }: Point): string =>
  element('polygon', {
    points: [
      [x - 4.5, y],
      [x, y - 4.5],
      [x + 4.5, y],
      [x, y + 4.5],
    ]
      .map((p) => p.map((v) => v.toFixed(2)).join(','))
      .join(' '),
    fill: colours.page,
    stroke: colours.ink,
    'stroke-width': 1.4,
  });

/** A straight arrow with its point at `to`; its head shrinks with it, and nothing is drawn below half a picture unit. */
export const arrow = (from: Point, to: Point): string => {
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
      stroke: colours.ink,
      'stroke-width': 1.6,
    }) + element('polygon', { points: corners.map((p) => `${p.x.toFixed(2)},${p.y.toFixed(2)}`).join(' ') })
  );
};

/** A number or letter in a small disc, as used in the picture and beside it. */
export const chip = (centre: Point, sign: string): string =>
  element('circle', {
    cx: centre.x,
    cy: centre.y,
    r: 9,
    fill: colours.page,
    stroke: colours.ink,
    'stroke-width': 1.2,
  }) +
  writing(centre.x, centre.y + 4.4, sign, {
    'text-anchor': 'middle',
    'font-size': sizes.small,
    'font-weight': 'bold',
  });

/** A ring round the place of a thin land, with its number. */
export const landFlags = (lands: readonly PictureLand[], toPicture: Matrix): string =>
  lands
    .map((land, i) => {
      const at = apply(toPicture, land.at);
      const sign = add(at, { x: 17, y: 17 });
      return element(
        'g',
        { 'data-land': i + 1 },
        element('circle', {
          cx: at.x,
          cy: at.y,
          r: 6,
          fill: 'none',
          stroke: colours.ink,
          'stroke-width': 1.4,
        }),
        element('line', {
          x1: at.x + 4.3,
          y1: at.y + 4.3,
          x2: sign.x - 6.4,
          y2: sign.y - 6.4,
          stroke: colours.ink,
          'stroke-width': 1.2,
        }),
        chip(sign, String(i + 1)),
      );
    })
    .join('\n');

/** The sign of a finding: a triangle that stands on its base. */
export const findingSign = ({ x, y }: Point): string =>
  element('polygon', {
    points: [
      [x, y - 8],
      [x + 8, y + 6],
      [x - 8, y + 6],
    ]
      .map((p) => p.map((v) => v.toFixed(2)).join(','))
      .join(' '),
    fill: colours.page,
    stroke: colours.ink,
    'stroke-width': 2,
  });

/** A triangle at each place where the cut does something to the piece, with its number. */
export const findingFlags = (findings: readonly PictureFinding[], toPicture: Matrix): string =>
  findings
    .map(({ at }, i) => {
      const place = apply(toPicture, at);
      return element(
        'g',
        { 'data-finding': i + 1 },
        findingSign(place),
        writing(place.x + 12, place.y + 5, String(i + 1), { 'font-weight': 'bold' }),
      );
    })
    .join('\n');

/** The number of the land a detail shows; `a`, `b` ... for the others. */
export const detailSigns = (details: readonly PictureDetail[]): string[] => {
  let letters = 0;
  return details.map(({ land }) =>
    land === undefined ? String.fromCharCode(97 + (letters++ % 26)) : String(land + 1),
  );
};

export const detailBox = ({ at, width }: PictureDetail): Box =>
  boxOfPoints([
    { x: at.x - width / 2, y: at.y - width / 2 },
    { x: at.x + width / 2, y: at.y + width / 2 },
  ]);

/** The square that a detail enlarges, with its letter. */
export const detailMarks = (details: readonly PictureDetail[], toPicture: Matrix): string => {
  const detailSign = detailSigns(details);
  return details
    .map((detail, i) => {
      if (detail.land !== undefined) return '';
      const sign = detailSign[i]!;
      const box = detailBox(detail);
      const corners = [
        apply(toPicture, { x: box.minX, y: box.minY }),
        apply(toPicture, { x: box.maxX, y: box.maxY }),
      ];
      const on = boxOfPoints(corners);
      return element(
        'g',
        { 'data-detail': sign },
        element('rect', {
          x: on.minX,
          y: on.minY,
          width: on.maxX - on.minX,
          height: on.maxY - on.minY,
          fill: 'none',
          stroke: colours.ink,
          'stroke-width': 1.2,
        }),
        chip({ x: on.minX - 12, y: on.minY - 6 }, sign),
      );
    })
    .join('\n');
};
