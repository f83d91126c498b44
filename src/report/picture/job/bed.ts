/**
 * The bed: its edge where it runs through the picture, and the part on it, small, beside the
 * picture.
 */
import { pathData } from '../../../drawing/write/path-data.js';
import { apply, type Matrix } from '../../../geometry/affine.js';
import { type Box, boxOfPoints, joinBoxes, type Point } from '../../../geometry/point.js';
import { fixed } from '../../text/layout.js';
import { around, type LabelRoom } from '../label-room.js';
import { letteringWidth } from '../lettering.js';
import type { Frame } from '../picture-field.js';
import type { PictureBed, PictureInput } from '../picture-input.js';
import { rimmed } from '../picture-signs.js';
import { sizes } from '../role-style.js';
import { palette, weights } from '../signs.js';
import { element, writing } from '../svg-text.js';

const edge = {
  fill: 'none',
  stroke: palette.ink,
  'stroke-width': 1.2,
  'stroke-dasharray': '14 4 2 4',
} as const;

/** The edges of the bed, as far as they run through the frame, each with its name. */
export const bedEdgeOn = ({ size }: PictureBed, frame: Frame, toPicture: Matrix, room: LabelRoom): string => {
  if (size === undefined) return '';
  const on = boxOfPoints([apply(toPicture, { x: 0, y: 0 }), apply(toPicture, { x: size[0], y: size[1] })]);
  const [left, right] = [Math.max(on.minX, frame.x), Math.min(on.maxX, frame.x + frame.width)];
  const [top, bottom] = [Math.max(on.minY, frame.y), Math.min(on.maxY, frame.y + frame.height)];
  const lines: string[] = [];
  const labels: string[] = [];
  const words = "the bed's edge";
  const [wide, high] = [letteringWidth(words, sizes.small) + 4, sizes.small + 3];
  /** The first place along the line, from an end of it, where its name lies on nothing. */
  const name = (along: readonly Point[]): void => {
    const at = along.find((p) => room.isFree(around(p, wide, high)));
    if (at === undefined || labels.length > 0) return;
    room.take(around(at, wide, high));
    labels.push(rimmed(at.x, at.y + 4.4, words, { 'text-anchor': 'middle', 'font-size': sizes.small }));
  };
  const steps = [0.5, 0.3, 0.7, 0.15, 0.85];
  if (right > left) {
    for (const [y, way] of [
      [on.minY, 1],
      [on.maxY, -1],
    ] as const) {
      if (y < frame.y || y > frame.y + frame.height) continue;
      lines.push(`M${left.toFixed(2)},${y.toFixed(2)}H${right.toFixed(2)}`);
      room.takeLine({ x: left, y }, { x: right, y });
      name(steps.map((t) => ({ x: left + t * (right - left), y: y + way * 12 })));
    }
  }
  if (bottom > top) {
    for (const [x, way] of [
      [on.minX, 1],
      [on.maxX, -1],
    ] as const) {
      if (x < frame.x || x > frame.x + frame.width) continue;
      lines.push(`M${x.toFixed(2)},${top.toFixed(2)}V${bottom.toFixed(2)}`);
      room.takeLine({ x, y: top }, { x, y: bottom });
      name(steps.map((t) => ({ x: x + way * (wide / 2 + 6), y: top + t * (bottom - top) })));
    }
  }
  if (lines.length === 0) return '';
  return element(
    'g',
    { 'data-part': 'bed-edge' },
    element('path', { d: lines.join(''), ...edge }),
    ...labels,
  );
};

/** At most so large, picture units. */
const largest = { width: 220, height: 150 };

/**
 * The bed from above with the part on it, its origin and which way its axes count.
 * @param box of the part, display mm
 */
export const bedBeside = (
  { bed = {}, shapes, axes = 'y-up' }: PictureInput,
  box: Box,
  place: Point,
): { readonly svg: string; readonly height: number } => {
  const { size } = bed;
  const origin = { x: 0, y: 0 };
  const whole = joinBoxes(
    boxOfPoints([origin, ...(size === undefined ? [] : [{ x: size[0], y: size[1] }])]),
    box,
  );
  const [width, height] = [whole.maxX - whole.minX, whole.maxY - whole.minY];
  const scale = Math.min(largest.width / width, largest.height / height);
  const left = place.x + 16 - scale * whole.minX;
  const top = place.y + 6;
  const down = axes === 'y-down';
  const toPicture: Matrix = [
    scale,
    0,
    0,
    down ? scale : -scale,
    left,
    down ? top - scale * whole.minY : top + scale * whole.maxY,
  ];
  const at = apply(toPicture, origin);
  const arm = 22;
  const upwards = down ? 1 : -1;
  const far = size === undefined ? undefined : apply(toPicture, { x: size[0], y: size[1] });
  const drawnBed =
    far === undefined
      ? ''
      : element('rect', {
          x: Math.min(at.x, far.x),
          y: Math.min(at.y, far.y),
          width: Math.abs(far.x - at.x),
          height: Math.abs(far.y - at.y),
          ...edge,
        });
  const outlines = shapes.filter(({ role }) => role === 'outline');
  const corners = [
    { x: box.minX, y: box.minY },
    { x: box.maxX, y: box.minY },
    { x: box.maxX, y: box.maxY },
    { x: box.minX, y: box.maxY },
  ].map((p) => apply(toPicture, p));
  const part = {
    d:
      outlines.length > 0
        ? outlines.flatMap(({ paths }) => paths.map((path) => pathData(path, toPicture, 1))).join('')
        : `M${corners.map(({ x, y }) => `${x.toFixed(1)},${y.toFixed(1)}`).join('L')}Z`,
    fill: palette.panel,
    stroke: palette.ink,
    'stroke-width': weights.existing,
  };
  const sign = element('path', {
    d: `M${at.x.toFixed(2)},${at.y.toFixed(2)}h${arm}l-7,-3v6l7,-3M${at.x.toFixed(2)},${at.y.toFixed(2)}v${upwards * arm}l-3,${-7 * upwards}h6l-3,${7 * upwards}`,
    fill: palette.ink,
    stroke: palette.ink,
    'stroke-width': 1.4,
  });
  const small = { 'font-size': sizes.small } as const;
  const text = [
    size === undefined ? 'Its size is not stated.' : `${fixed(size[0], 0)} x ${fixed(size[1], 0)} mm`,
    `Origin 0, 0: ${down ? 'upper' : 'lower'} left`,
    'x to the right,',
    `y ${down ? 'downwards' : 'upwards'}`,
  ];
  const high = scale * height;
  const beside = place.x + Math.max(scale * width + 32, 150);
  return {
    svg: element(
      'g',
      { 'data-part': 'bed' },
      drawnBed,
      element('path', part),
      sign,
      element('circle', { cx: at.x, cy: at.y, r: 3.4, fill: palette.ink }),
      ...text.map((words, i) => writing(beside, top + 12 + i * 18, words, small)),
    ),
    height: Math.max(high + 20, 84),
  };
};
