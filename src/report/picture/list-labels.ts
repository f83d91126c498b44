/** Where the names of shapes can be written into a picture without lying on each other or on other shapes. */
import type { ShapeRow } from '../../drawing/describe.js';
import type { Shape } from '../../drawing/model/drawing.js';
import type { RoleAssignment } from '../../drawing/roles/roles.js';
import { apply, type Matrix } from '../../geometry/affine.js';
import { endOf, pathBox } from '../../geometry/curve.js';
import { signedArea } from '../../geometry/measure.js';
import { type Box, boxCentre, boxesMeet, boxOfPoints, type Point } from '../../geometry/point.js';
import { isInside, polygonOfPath } from '../../geometry/rings/polygon-of-path.js';
import { shortened } from '../text/layout.js';

export interface PlacedLabel {
  readonly text: string;
  /** The middle of its line, picture units. */
  readonly at: Point;
  readonly size: number;
  readonly isMark: boolean;
}

/** Sizes of the letters, tried one after the other. */
const letterSizes = [12.5, 10];
/** Names are written beside their shapes only where there are few; a name inside its shape is never in doubt. */
const fewShapes = 80;
const longest = 28;
/** Beyond this the picture would be nothing but names. */
const mostLabels = 400;

/**
 * @param marks names and places of the marks; they come first
 * @returns the labels that found a place, picture units
 */
export const placeLabels = (
  { shapes }: RoleAssignment,
  rows: readonly ShapeRow[],
  marks: readonly { readonly name: string; readonly at: Point }[],
  view: {
    readonly toPicture: Matrix;
    readonly frame: {
      readonly x: number;
      readonly y: number;
      readonly width: number;
      readonly height: number;
    };
    readonly scale: number;
  },
): PlacedLabel[] => {
  const { frame, toPicture } = view;
  const sheet: Box = {
    minX: frame.x,
    minY: frame.y,
    maxX: frame.x + frame.width,
    maxY: frame.y + frame.height,
  };
  const boxes = rows.map(({ box }) => inPicture(box, toPicture));
  const taken: Box[] = marks.map(({ at }) => around(at, 20, 20));
  const labels: PlacedLabel[] = [];
  const place = (text: string, at: Point, size: number, isMark: boolean): void => {
    labels.push({ text, at, size, isMark });
    taken.push(labelBox(text, at, size));
  };
  /** Clear of other labels and shapes; of a shape around its own, clear of the edge. */
  const isFree = (label: Box, own: Box, index: number): boolean =>
    within(label, sheet) &&
    !taken.some((other) => boxesMeet(other, label)) &&
    boxes.every((other, i) => {
      if (i === index || rows[i]!.role === 'mark' || !boxesMeet(other, label)) return true;
      return within(own, other) && within(label, other);
    });

  const pointsOf = ({ paths }: Shape): Point[] =>
    paths
      .flatMap((path) => [...polygonOfPath(path, 1 / view.scale), endOf(path.segments.at(-1)!)])
      .map((p) => apply(toPicture, p));

  for (const { name, at } of marks) {
    const text = shortened(name, longest);
    const size = letterSizes[0]!;
    const own = around(at, 20, 20);
    const spots = besides(cornersOf(own), text, size).filter((spot) => {
      const label = labelBox(text, spot, size);
      return within(label, sheet) && !taken.some((other) => boxesMeet(other, label));
    });
    const found = spots.find((spot) => isFree(labelBox(text, spot, size), own, -1)) ?? spots[0];
    if (found !== undefined) place(text, found, size, true);
  }
  // Given names before made-up ones, openings before others.
  const order = rows
    .map((_, i) => i)
    .filter((i) => rows[i]!.role !== 'mark')
    .sort((a, b) => Number(shapes[b]!.named) - Number(shapes[a]!.named));
  for (const i of order) {
    if (labels.length >= mostLabels) break;
    const text = shortened(rows[i]!.id, longest);
    const box = boxes[i]!;
    for (const size of letterSizes) {
      const spot =
        (rows[i]!.role === 'outline'
          ? undefined
          : insideOf(shapes[i]!, box, text, size, toPicture, (one) => isFree(one, box, i))) ??
        (rows.length > fewShapes
          ? undefined
          : besides(pointsOf(shapes[i]!), text, size).find((one) =>
              isFree(labelBox(text, one, size), box, i),
            ));
      if (spot === undefined) continue;
      place(text, spot, size, false);
      break;
    }
  }
  return labels;
};

/** A letter of a plain sans-serif face takes 0.58 of its size, a wide one's average (from memory, no source). */
export const letteringWidth = (text: string, size: number): number => 0.58 * size * [...text].length;

const labelBox = (text: string, at: Point, size: number): Box =>
  around(at, letteringWidth(text, size) + 4, size + 3);

const around = ({ x, y }: Point, width: number, height: number): Box => ({
  minX: x - width / 2,
  minY: y - height / 2,
  maxX: x + width / 2,
  maxY: y + height / 2,
});

const inPicture = (box: Box, toPicture: Matrix): Box =>
  boxOfPoints([
    apply(toPicture, { x: box.minX, y: box.minY }),
    apply(toPicture, { x: box.maxX, y: box.maxY }),
  ]);

const within = (inner: Box, outer: Box): boolean =>
  inner.minX >= outer.minX &&
  inner.maxX <= outer.maxX &&
  inner.minY >= outer.minY &&
  inner.maxY <= outer.maxY;

/** Above, right, below and left of what these points enclose, each at the point that lies farthest out. */
const besides = (points: readonly Point[], text: string, size: number): Point[] => {
  /** The middle of those that lie farthest out that way: of a straight edge its middle. */
  const farthest = (dx: number, dy: number): Point => {
    const most = points.reduce((out, p) => Math.max(out, dx * p.x + dy * p.y), Number.NEGATIVE_INFINITY);
    return boxCentre(boxOfPoints(points.filter((p) => dx * p.x + dy * p.y > most - 0.5)));
  };
  const across = letteringWidth(text, size) / 2 + 7;
  const up = size / 2 + 5;
  const [top, right, bottom, left] = [farthest(0, -1), farthest(1, 0), farthest(0, 1), farthest(-1, 0)];
  return [
    { x: top.x, y: top.y - up },
    { x: right.x + across, y: right.y },
    { x: bottom.x, y: bottom.y + up },
    { x: left.x - across, y: left.y },
  ];
};

const cornersOf = ({ minX, minY, maxX, maxY }: Box): Point[] => {
  const [x, y] = [(minX + maxX) / 2, (minY + maxY) / 2];
  return [
    { x, y: minY },
    { x: maxX, y },
    { x, y: maxY },
    { x: minX, y },
  ];
};

/** In the middle of a shape, where the whole label lies on it; else a little above or below. */
const insideOf = (
  shape: Shape,
  box: Box,
  text: string,
  size: number,
  toPicture: Matrix,
  isFree: (label: Box) => boolean,
): Point | undefined => {
  const [width, height] = [box.maxX - box.minX, box.maxY - box.minY];
  if (letteringWidth(text, size) + 6 > width || size + 6 > height) return undefined;
  const closed = shape.paths.filter((path) => path.closed);
  if (closed.length === 0) return undefined;
  const largest = closed.reduce((a, b) => (Math.abs(signedArea(b)) > Math.abs(signedArea(a)) ? b : a));
  const polygon = polygonOfPath(largest, 0.5 / Math.abs(toPicture[0])).map((p) => apply(toPicture, p));
  const inner = closed.filter((path) => path !== largest).map((path) => inPicture(pathBox(path), toPicture));
  for (const share of [0.5, 0.35, 0.65, 0.2, 0.8]) {
    const at = { x: (box.minX + box.maxX) / 2, y: box.minY + share * height };
    const label = labelBox(text, at, size);
    const rim = [0, 0.5, 1].flatMap((u) =>
      [0, 0.5, 1].map((v) => ({
        x: label.minX + u * (label.maxX - label.minX),
        y: label.minY + v * (label.maxY - label.minY),
      })),
    );
    const fits =
      rim.every((point) => isInside(point, polygon)) && !inner.some((ring) => boxesMeet(ring, label));
    if (fits && isFree(label)) return at;
  }
  return undefined;
};
