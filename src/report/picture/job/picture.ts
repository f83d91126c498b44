/**
 * A picture of a job, as SVG text: whether it fits, what is there, what is to be cut, where the
 * readings fell.
 *
 *     title
 *     +---------------------+   verdict, what is needed
 *     |  the part as it     |   the place that decides, enlarged
 *     |  lies, with ticks   |   legend, witness points, lands, bed
 *     +---------------------+   further details
 *
 * Colours and signs mean what signs.ts says; each thing is said by shape, number or word as well.
 */
import type { Matrix } from '../../../geometry/affine.js';
import { pathBox } from '../../../geometry/curve.js';
import { type Box, boxOfPoints, emptyBox, joinBoxes } from '../../../geometry/point.js';
import { LabelRoom } from '../label-room.js';
import { shapesOn, ticksOn } from '../picture-field.js';
import type { PictureInput } from '../picture-input.js';
import { columnBeside, frameOnPage, picturePage } from '../picture-page.js';
import { element } from '../svg-text.js';
import { bedEdgeOn } from './bed.js';
import { columnWidth, pictureColumn } from './picture-column.js';
import { filmOn, stripNumbers } from './picture-film.js';
import { residualFactor, signsOn } from './signs-on.js';

/** The part takes this much at most, picture units each way. */
const room = 1000;
/** Between the part and its frame: arrows and names find place there. */
const surround = 84;

/** The picture as a whole SVG document; one picture unit is one pixel unless it is scaled. */
export const pictureSvg = (input: PictureInput): string => {
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
  const view = {
    toPicture,
    scale,
    ...(input.kerf === undefined ? {} : { kerf: input.kerf }),
    ...(input.pierced === undefined ? {} : { pierced: input.pierced }),
  };
  const factor = residualFactor(input.marks ?? [], scale);
  const column = pictureColumn(input, { scale, factor, box, frame, ...columnBeside(frame) });
  const layout = { title: input.title, frame, column: { width: columnWidth, bottom: column.bottom } };
  const labels = new LabelRoom({
    minX: frame.x + 2,
    minY: frame.y + 2,
    maxX: frame.x + frame.width - 2,
    maxY: frame.y + frame.height - 2,
  });
  const strips = input.film === undefined ? '' : stripNumbers(input.film, toPicture, labels);
  const bed = input.bed === undefined ? '' : bedEdgeOn(input.bed, frame, toPicture, labels);
  return picturePage(layout, [
    ticksOn(frame, toPicture, input.ticks),
    element('g', { 'data-part': 'shapes' }, shapesOn(input.shapes, view)),
    input.film === undefined ? '' : filmOn(input.film, toPicture),
    bed,
    strips,
    signsOn(input, toPicture, factor, labels),
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
