/**
 * A picture of a job or of a drawing, as SVG text: what is there, what is to be cut, where the readings fell.
 *
 *     title
 *     +---------------------+   caption
 *     |  the part as it     |   legend
 *     |  lies, with ticks   |   thin lands
 *     +---------------------+   details, enlarged
 *
 * What it tells it tells by shape, number or word as well; the one accent colour belongs to the beam.
 */
import type { Matrix } from '../../geometry/affine.js';
import { pathBox } from '../../geometry/curve.js';
import { type Box, boxOfPoints, emptyBox, joinBoxes } from '../../geometry/point.js';
import { columnWidth, pictureColumn } from './picture-column.js';
import { shapesOn, ticksOn } from './picture-field.js';
import { filmOn, stripNumbers } from './picture-film.js';
import type { PictureInput } from './picture-input.js';
import { columnBeside, frameOnPage, picturePage } from './picture-page.js';
import { detailMarks, findingFlags, landFlags, marksOn, residualFactor } from './picture-signs.js';
import { element } from './svg-text.js';

/** The part takes this much at most, picture units each way. */
const room = 1000;
/** Between the part and its frame: arrows and names find place there. */
const surround = 84;

/** The picture as a whole SVG document; one picture unit is one pixel unless it is scaled. */
export const pictureSvg = (input: PictureInput): string => {
  const marks = input.marks ?? [];
  const box = contentBox(input);
  const [width, height] = [box.maxX - box.minX, box.maxY - box.minY];
  const scale = room / Math.max(width, height);
  const frame = frameOnPage(width * scale + 2 * surround, height * scale + 2 * surround);
  const down = input.axes === 'y-down';
  const toPicture: Matrix = [
    scale,
    0,
    0,
    down ? scale : -scale,
    frame.x + surround - scale * box.minX,
    frame.y + surround + (down ? -scale * box.minY : scale * box.maxY),
  ];
  const kerf = input.kerf === undefined ? {} : { kerf: input.kerf };
  const factor = residualFactor(marks, scale);
  const column = pictureColumn(input, { scale, factor, ...columnBeside(frame) });
  const layout = { title: input.title, frame, column: { width: columnWidth, bottom: column.bottom } };
  return picturePage(layout, [
    ticksOn(frame, toPicture, input.ticks),
    element('g', { 'data-part': 'shapes' }, shapesOn(input.shapes, { toPicture, scale, ...kerf })),
    input.film === undefined ? '' : filmOn(input.film, toPicture),
    detailMarks(input.details ?? [], toPicture),
    landFlags(input.thinLands ?? [], toPicture),
    findingFlags(input.findings ?? [], toPicture),
    input.film === undefined ? '' : stripNumbers(input.film, toPicture),
    marksOn(marks, toPicture, factor, frame),
    column.svg,
  ]);
};

/** Round everything that is shown; at least a millimetre wide, so that a lone point has a scale. */
const contentBox = (input: PictureInput): Box => {
  const points = (input.marks ?? []).map((mark) => mark.at);
  const boxes = input.shapes.flatMap((shape) => shape.paths.map(pathBox));
  const box = [boxOfPoints(points), ...boxes].reduce(joinBoxes, emptyBox);
  if (box.minX > box.maxX) return { minX: 0, minY: 0, maxX: 1, maxY: 1 };
  const spare = Math.max(0, 1 - Math.max(box.maxX - box.minX, box.maxY - box.minY)) / 2;
  return { minX: box.minX - spare, minY: box.minY - spare, maxX: box.maxX + spare, maxY: box.maxY + spare };
};
