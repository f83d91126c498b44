/** A place of the picture, enlarged: with the lengths that decide, or as a plain square. */
import { applyLinear, compose, type Matrix } from '../../../geometry/affine.js';
import { type Box, boxOfPoints, length, type Point } from '../../../geometry/point.js';
import { fixed } from '../../text/layout.js';
import { around } from '../label-room.js';
import { letteringWidth } from '../lettering.js';
import { shapesOn } from '../picture-field.js';
import type { PictureDetail, PictureInput, PictureLengths } from '../picture-input.js';
import { rimmed } from '../picture-signs.js';
import { sizes } from '../role-style.js';
import { palette } from '../signs.js';
import { element, roundStep, writing } from '../svg-text.js';

const detailBox = ({ at, width }: PictureDetail): Box =>
  boxOfPoints([
    { x: at.x - width / 2, y: at.y - width / 2 },
    { x: at.x + width / 2, y: at.y + width / 2 },
  ]);

const rimOf = (width: number, height: number): string =>
  element('rect', {
    x: 0.5,
    y: 0.5,
    width: width - 1,
    height: height - 1,
    fill: 'none',
    stroke: palette.quiet,
    'stroke-width': 1,
  });

/** What lies under everything: the panel; beside it, where a job has none, nothing. */
const viewOf = ({ kerf, pierced }: PictureInput) => ({
  heavier: 1.5,
  ...(kerf === undefined ? {} : { kerf }),
  ...(pierced === undefined ? {} : { pierced }),
});

/** A square of the picture, enlarged to `side`. */
export const squareDetail = (detail: PictureDetail, input: PictureInput, side: number): string => {
  const scale = side / detail.width;
  const box = detailBox(detail);
  const toPicture: Matrix =
    input.axes === 'y-down'
      ? [scale, 0, 0, scale, -scale * box.minX, -scale * box.minY]
      : [scale, 0, 0, -scale, -scale * box.minX, scale * box.maxY];
  return (
    element(
      'svg',
      { width: side, height: side, viewBox: `0 0 ${side} ${side}`, overflow: 'hidden' },
      shapesOn(input.shapes, { toPicture, scale, within: box, ...viewOf(input) }),
    ) + rimOf(side, side)
  );
};

/** What the longest of the lengths takes of the width. */
const shareOfWidth = 0.17;
/** Where the existing edge stands. */
const edgeAt = 0.4;

/** @returns picture units per mm of a detail with lengths */
export const scaleOfLengths = ({ given, needed = 0 }: PictureLengths, kerf: number, width: number): number =>
  (shareOfWidth * width) / Math.max(given, needed, kerf, 0.05);

/** Height of one length below the enlarged place. */
const rowHeight = 21;

interface LengthRow {
  readonly from: number;
  readonly to: number;
  readonly text: string;
  readonly colour: string;
}

const rowsOf = ({ given, needed, word }: PictureLengths, kerf: number): LengthRow[] => [
  { from: 0, to: given, text: `${fixed(given, 2)} ${word}`, colour: palette.ink },
  ...(needed === undefined
    ? []
    : [{ from: 0, to: needed, text: `${fixed(needed, 2)} needed`, colour: palette.error }]),
  ...(kerf > 0 && word === 'given'
    ? [{ from: given - kerf, to: given, text: `${fixed(kerf, 2)} kerf`, colour: palette.ink }]
    : []),
];

/**
 * The place turned so that its normal runs to the right; under it the lengths, one below the other:
 * what is given, what is needed, the kerf.
 *
 * @param size of the enlarged place alone
 */
export const lengthsDetail = (
  { at, lengths }: PictureDetail & { readonly lengths: PictureLengths },
  input: PictureInput,
  { width, height }: { readonly width: number; readonly height: number },
): { readonly svg: string; readonly height: number } => {
  const kerf = input.kerf ?? 0;
  const scale = scaleOfLengths(lengths, kerf, width);
  const flip: Matrix = input.axes === 'y-down' ? [1, 0, 0, 1, 0, 0] : [1, 0, 0, -1, 0, 0];
  const onPage = applyLinear(flip, lengths.normal);
  const long = length(onPage);
  const [c, s] = [onPage.x / long, onPage.y / long];
  const origin = { x: Math.round(edgeAt * width), y: Math.round(0.5 * height) };
  const turned = compose([c, -s, s, c, 0, 0], compose(flip, [1, 0, 0, 1, -at.x, -at.y]));
  const toPicture = compose([scale, 0, 0, scale, origin.x, origin.y], turned);
  const reach = Math.hypot(width, height) / scale;
  const within = around(at, 2 * reach, 2 * reach);
  const rows = rowsOf(lengths, kerf);
  const all = height + rowHeight * rows.length + 6;
  // All figures right of all stops.
  const widest = Math.max(...rows.map(({ text }) => letteringWidth(text, sizes.small, true)));
  const right = origin.x + scale * Math.max(...rows.map(({ to }) => to));
  const textAt = Math.min(right + 30, width - widest - 8);
  return {
    svg:
      element(
        'svg',
        { width, height, viewBox: `0 0 ${width} ${height}`, overflow: 'hidden' },
        shapesOn(input.shapes, { toPicture, scale, within, ...viewOf(input) }),
      ) +
      rimOf(width, height) +
      element(
        'g',
        { 'data-part': 'lengths' },
        neededBar(lengths, scale, origin),
        ...rows.map((row, i) =>
          lengthRow(row, scale, origin, { textAt, y: height + rowHeight * (i + 0.5) + 5 }),
        ),
      ) +
      rimOf(width, all),
    height: all,
  };
};

/** What is needed, as a bar on the edge: the same length as below. */
const neededBar = ({ needed }: PictureLengths, scale: number, { x, y }: Point): string =>
  needed === undefined
    ? ''
    : element('rect', {
        x,
        y: y - 4,
        width: Math.max(0.5, scale * needed),
        height: 8,
        fill: palette.error,
        stroke: palette.paper,
        'stroke-width': 0.8,
      });

/** The arrows point at the stops from outside: most lengths are too short to hold them. */
const lengthRow = (
  { from, to, text, colour }: LengthRow,
  scale: number,
  origin: Point,
  { textAt, y }: { readonly textAt: number; readonly y: number },
): string => {
  const [a, b] = [origin.x + scale * from, origin.x + scale * to];
  const line = `M${(a - 20).toFixed(1)},${y}H${(textAt - 6).toFixed(1)}`;
  const heads = `M${a.toFixed(1)},${y}l-7,-3v6ZM${b.toFixed(1)},${y}l7,-3v6Z`;
  const stops = [a, b].map((x) => `M${x.toFixed(1)},${origin.y}V${y + 5}`).join('');
  const written = { 'font-size': sizes.small, 'font-weight': 'bold', fill: colour };
  return (
    element('path', {
      d: stops,
      fill: 'none',
      stroke: palette.paper,
      'stroke-width': 2,
      'stroke-opacity': 0.6,
    }) +
    element('path', { d: stops, fill: 'none', stroke: colour, 'stroke-width': 0.8 }) +
    element('path', { d: line, fill: 'none', stroke: colour, 'stroke-width': 1.1 }) +
    element('path', { d: heads, fill: colour }) +
    rimmed(textAt, y + 4.4, text, written)
  );
};

/** The scale of a detail: a bar of a round length with stops at its ends. */
export const detailBar = (x: number, y: number, scale: number): string => {
  const bar = roundStep(66 / scale);
  const end = x + bar * scale;
  const line = `M${x.toFixed(2)},${y - 4}v8m0-4H${end.toFixed(2)}m0-4v8`;
  return (
    element('path', { d: line, fill: 'none', stroke: palette.ink, 'stroke-width': 1.2 }) +
    writing(end + 8, y + 4.4, `${fixed(bar, decimalsOf(bar))} mm`, { 'font-size': sizes.small })
  );
};

/** Decimals that a round step needs: 0 for 20, 1 for 0.5. */
export const decimalsOf = (step: number): number => Math.max(0, -Math.floor(Math.log10(step)));
