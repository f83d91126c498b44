/**
 * Where the names of shapes can be written into a picture without lying on each other or on other
 * shapes; what finds no room for its name has a number, and the number stands in a key.
 */
import Flatbush from 'flatbush';
import type { ShapeRow } from '../../../drawing/describe.js';
import type { Shape } from '../../../drawing/model/drawing.js';
import type { RoleAssignment } from '../../../drawing/roles/roles.js';
import { apply, type Matrix } from '../../../geometry/affine.js';
import { endOf, pathBox } from '../../../geometry/curve.js';
import { signedArea } from '../../../geometry/measure.js';
import { type Box, boxCentre, boxesMeet, boxOfPoints, type Point } from '../../../geometry/point.js';
import { isInside, polygonOfPath } from '../../../geometry/rings/polygon-of-path.js';
import { around, LabelRoom } from '../label-room.js';
import { letteringWidth, shortenedTo } from '../lettering.js';

export interface PlacedLabel {
  readonly text: string;
  /** The middle of its line, picture units. */
  readonly at: Point;
  readonly size: number;
  readonly isMark: boolean;
  /** From the shape to its number. */
  readonly lead?: readonly [Point, Point];
}

export interface PlacedLabels {
  readonly labels: readonly PlacedLabel[];
  /** What has a number in place of a name; a number is one more than its place. */
  readonly key: readonly string[];
  /** How many have neither. */
  readonly unnamed: number;
}

/** Sizes of the letters, tried one after the other. */
const letterSizes = [12.5, 10];
const numberSize = 10;
/**
 * Names are written beside their shapes only where there are few; a name inside its shape is never
 * in doubt.
 */
const fewShapes = 80;
/** More shapes than these are not numbered: the key would be longer than the picture. */
const mostNumbered = 300;
/** Widest name, picture units. */
const widest = 190;
/** Beyond this the picture would be nothing but names. */
const mostLabels = 400;

/**
 * @param marks names and places of the marks; they come first
 * @param asMarks ids of shapes that are named among the marks already
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
  asMarks: ReadonlySet<string> = new Set(),
): PlacedLabels => {
  const { frame, toPicture } = view;
  const room = new LabelRoom({
    minX: frame.x,
    minY: frame.y,
    maxX: frame.x + frame.width,
    maxY: frame.y + frame.height,
  });
  const boxes = rows.map(({ box }) => inPicture(box, toPicture));
  for (const { at } of marks) room.take(around(at, 16, 16));
  const labels: PlacedLabel[] = [];
  const place = (text: string, at: Point, size: number): void => {
    labels.push({ text, at, size, isMark: false });
    room.take(labelBox(text, at, size));
  };
  let index: Flatbush | undefined;
  /** Clear of other shapes; of a shape around its own, clear of the edge. */
  const isClear = (label: Box, own: Box, self: number): boolean => {
    index ??= indexOf(boxes);
    return index.search(label.minX, label.minY, label.maxX, label.maxY).every((i) => {
      if (i === self || rows[i]!.role === 'mark') return true;
      const other = boxes[i]!;
      return !boxesMeet(other, label) || (within(own, other) && within(label, other));
    });
  };
  const isFree = (label: Box, own: Box, self: number): boolean =>
    room.isFree(label) && isClear(label, own, self);

  const pointsOf = ({ paths }: Shape): Point[] =>
    paths
      .flatMap((path) => [...polygonOfPath(path, 1 / view.scale), endOf(path.segments.at(-1)!)])
      .map((p) => apply(toPicture, p));

  for (const { name, at } of marks) {
    const size = letterSizes[0]!;
    const text = shortenedTo(name, widest, size, true);
    const own = around(at, 16, 16);
    const box = labelBox(text, at, size);
    const wanted = { width: box.maxX - box.minX, height: box.maxY - box.minY };
    const found =
      room.beside(at, wanted, { gap: 10, farthest: 20, isClear: (one) => isClear(one, own, -1) }) ??
      room.beside(at, wanted, { gap: 10 });
    if (found === undefined) continue;
    const { lead } = found;
    labels.push({ text, at: found.at, size, isMark: true, ...(lead === undefined ? {} : { lead }) });
  }
  // Given names before made-up ones, openings before others.
  const order = rows
    .map((_, i) => i)
    .filter((i) => rows[i]!.role !== 'mark' && !asMarks.has(rows[i]!.id))
    .sort((a, b) => Number(shapes[b]!.named) - Number(shapes[a]!.named));
  const left: number[] = [];
  for (const i of order) {
    if (labels.length >= mostLabels) {
      left.push(i);
      continue;
    }
    const box = boxes[i]!;
    const isNamed = letterSizes.some((size) => {
      const text = shortenedTo(rows[i]!.id, widest, size);
      const spot =
        (rows[i]!.role === 'outline'
          ? undefined
          : insideOf(shapes[i]!, box, text, size, toPicture, (one) => isFree(one, box, i))) ??
        (rows.length > fewShapes
          ? undefined
          : besides(pointsOf(shapes[i]!), text, size).find((one) =>
              isFree(labelBox(text, one, size), box, i),
            ));
      if (spot === undefined) return false;
      place(text, spot, size);
      return true;
    });
    if (!isNamed) left.push(i);
  }
  const numberFor = (text: string, i: number): Pick<PlacedLabel, 'at' | 'lead'> | undefined => {
    const [shape, box] = [shapes[i]!, boxes[i]!];
    const inside = insideOf(shape, box, text, numberSize, toPicture, (one) => room.isFree(one));
    if (inside !== undefined) {
      room.take(labelBox(text, inside, numberSize));
      return { at: inside };
    }
    const on = placeOn(shape, box, toPicture);
    const size = { width: letteringWidth(text, numberSize) + 4, height: numberSize + 2 };
    return (
      room.beside(on, size, { gap: 6, farthest: 44, isClear: (one) => isClear(one, box, i) }) ??
      room.beside(on, size, { gap: 6, farthest: 110 })
    );
  };
  if (left.length > mostNumbered) return { labels, key: [], unnamed: left.length };
  const key: string[] = [];
  let unnamed = 0;
  // In the order of the drawing, so that a number is soon found.
  for (const i of left.sort((a, b) => a - b)) {
    const text = `${key.length + 1}`;
    const found = numberFor(text, i);
    if (found === undefined) unnamed += 1;
    else {
      labels.push({ text, size: numberSize, isMark: false, ...found });
      key.push(rows[i]!.id);
    }
  }
  return { labels, key, unnamed };
};

const indexOf = (boxes: readonly Box[]): Flatbush => {
  const index = new Flatbush(Math.max(1, boxes.length));
  for (const { minX, minY, maxX, maxY } of boxes) index.add(minX, minY, maxX, maxY);
  if (boxes.length === 0) index.add(0, 0, 0, 0);
  index.finish();
  return index;
};

/** A point of the shape: within it, or on an open line. */
const placeOn = ({ paths }: Shape, box: Box, toPicture: Matrix): Point => {
  const [first] = paths;
  if (first === undefined) return boxCentre(box);
  const polygon = polygonOfPath(first, 0.5 / Math.abs(toPicture[0])).map((p) => apply(toPicture, p));
  if (first.closed)
    for (const share of [0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9]) {
      const y = box.minY + share * (box.maxY - box.minY);
      const across = crossingsAt(polygon, y);
      if (across.length >= 2) return { x: (across[0]! + across[1]!) / 2, y };
    }
  return polygon[Math.floor(polygon.length / 2)] ?? boxCentre(box);
};

const crossingsAt = (polygon: readonly Point[], y: number): number[] =>
  polygon
    .flatMap((a, i) => {
      const b = polygon[(i + 1) % polygon.length]!;
      return a.y > y === b.y > y ? [] : [a.x + ((y - a.y) / (b.y - a.y)) * (b.x - a.x)];
    })
    .sort((a, b) => a - b);

const labelBox = (text: string, at: Point, size: number): Box =>
  around(at, letteringWidth(text, size, size === letterSizes[0]) + 4, size + 3);

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

/**
 * Above, right, below and left of what these points enclose, each at the point that lies farthest
 * out.
 */
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
    const y = box.minY + share * height;
    const at = { x: middleAt(polygon, y) ?? (box.minX + box.maxX) / 2, y };
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

/** The middle of the widest stretch of a line across a shape. */
const middleAt = (polygon: readonly Point[], y: number): number | undefined => {
  const across = crossingsAt(polygon, y);
  let best: number | undefined;
  let most = 0;
  for (let i = 0; i + 1 < across.length; i += 2) {
    const wide = across[i + 1]! - across[i]!;
    if (wide <= most) continue;
    most = wide;
    best = (across[i]! + across[i + 1]!) / 2;
  }
  return best;
};
