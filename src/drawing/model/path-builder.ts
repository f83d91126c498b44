/** Subpaths built point by point, placed in millimetres as they come. */

import { identity, type Matrix } from '../../geometry/affine.js';
import { type Arc, type EllipticalArc, segmentBox, transformSegment } from '../../geometry/curve.js';
import type { CurveStore } from '../../geometry/curve-store.js';
import { type Box, length } from '../../geometry/point.js';
import { limits } from '../../job/bounds.js';
import { arcFromEnds } from '../svg/svg-arc.js';
import { AttributeFault } from '../svg/xml/attribute-fault.js';
import { closingDistance, hasNoLength, leastStep } from './no-length.js';

/** A coordinate beyond it is a slip of the file. */
const largestCoordinate = limits.drawnCoordinate.most;

/**
 * Takes coordinates of the drawing's own units and keeps placed paths in a store, one subpath after
 * another. Segments without length are dropped; a subpath of which nothing is left, or all of which
 * lies within the closing distance of its start, is a point: it is counted in `withoutLength`.
 */
export class PathBuilder {
  /** Subpaths that were drawn but have no length. */
  withoutLength = 0;
  /**
   * Where the element being drawn stands in its attribute, for messages; set by the caller as it
   * goes on.
   */
  attribute: string | undefined;
  offset = 0;
  /** The current point, in the drawing's own units. */
  x = 0;
  y = 0;
  private startX = 0;
  private startY = 0;
  /** The start of the subpath and the current point, placed. */
  private fromX = 0;
  private fromY = 0;
  private hereX = 0;
  private hereY = 0;
  /** The point that was placed last. */
  private placedX = 0;
  private placedY = 0;
  private drew = false;
  /** Whether the subpath has come farther from its start than the closing distance. */
  private left = false;
  private minX = 0;
  private minY = 0;
  private maxX = 0;
  private maxY = 0;

  /** The matrix, number by number: every point of a drawing goes through it. */
  private a = 1;
  private b = 0;
  private c = 0;
  private d = 1;
  private e = 0;
  private f = 0;
  private matrix: Matrix = identity;

  constructor(private readonly curves: CurveStore) {}

  /** Begins a new element. */
  begin(matrix: Matrix): void {
    this.matrix = matrix;
    this.a = matrix[0];
    this.b = matrix[1];
    this.c = matrix[2];
    this.d = matrix[3];
    this.e = matrix[4];
    this.f = matrix[5];
    this.withoutLength = 0;
    this.attribute = undefined;
    this.offset = 0;
    this.x = this.y = this.startX = this.startY = 0;
    this.fromX = this.fromY = this.hereX = this.hereY = 0;
    this.drew = false;
    this.left = false;
    this.minX = this.minY = Number.POSITIVE_INFINITY;
    this.maxX = this.maxY = Number.NEGATIVE_INFINITY;
    this.curves.begin(0, 0);
  }

  moveTo(x: number, y: number): void {
    this.finishSubpath();
    this.place(x, y);
    this.hereX = this.fromX = this.placedX;
    this.hereY = this.fromY = this.placedY;
    this.startX = this.x = x;
    this.startY = this.y = y;
    this.curves.begin(this.fromX, this.fromY);
  }

  lineTo(x: number, y: number): void {
    this.place(x, y);
    const { placedX, placedY } = this;
    this.drew = true;
    this.x = x;
    this.y = y;
    if (this.isHere(placedX, placedY)) return;
    this.leave(placedX, placedY);
    this.curves.line(placedX, placedY);
    this.hereX = placedX;
    this.hereY = placedY;
  }

  cubicTo(x1: number, y1: number, x2: number, y2: number, x: number, y: number): void {
    this.place(x1, y1);
    const ax = this.placedX;
    const ay = this.placedY;
    this.place(x2, y2);
    const bx = this.placedX;
    const by = this.placedY;
    this.place(x, y);
    const { placedX, placedY } = this;
    this.drew = true;
    this.x = x;
    this.y = y;
    if (this.isHere(placedX, placedY) && this.isHere(ax, ay) && this.isHere(bx, by)) return;
    this.leave(ax, ay);
    this.leave(bx, by);
    this.leave(placedX, placedY);
    this.curves.cubic(ax, ay, bx, by, placedX, placedY);
    this.hereX = placedX;
    this.hereY = placedY;
  }

  /**
   * A quadratic curve is the cubic with its controls two thirds of the way to the one control:
   * exact.
   */
  quadraticTo(x1: number, y1: number, x: number, y: number): void {
    const third = 2 / 3;
    this.cubicTo(
      this.x + third * (x1 - this.x),
      this.y + third * (y1 - this.y),
      x + third * (x1 - x),
      y + third * (y1 - y),
      x,
      y,
    );
  }

  arcTo(
    rx: number,
    ry: number,
    degrees: number,
    large: boolean,
    positive: boolean,
    x: number,
    y: number,
  ): void {
    const arc = arcFromEnds(this.x, this.y, rx, ry, degrees, large, positive, x, y);
    if (arc === 'line') {
      this.lineTo(x, y);
      return;
    }
    this.drew = true;
    if (arc === undefined) return;
    this.place(x, y);
    const { placedX, placedY } = this;
    this.x = x;
    this.y = y;
    if (this.hereX === placedX && this.hereY === placedY) return;
    const placed = this.placeArc(arc);
    if (hasNoLength(placed)) return;
    if (!this.left) this.leaveBox(segmentBox(placed));
    this.curves.add(placed, placedX, placedY);
    this.hereX = placedX;
    this.hereY = placedY;
  }

  /** A whole circle or ellipse as one closed subpath. */
  fullTurn(arc: Arc | EllipticalArc): void {
    this.finishSubpath();
    const placed = this.placeWhole(arc);
    const widest = 2 * (placed.kind === 'arc' ? placed.radius : Math.max(length(placed.u), length(placed.v)));
    if (widest > closingDistance) this.curves.single(placed, true);
    else this.withoutLength += 1;
    this.curves.begin(this.fromX, this.fromY);
  }

  /** Draws back to the start of the subpath; the next segment starts there. */
  close(): void {
    const { curves, fromX, fromY } = this;
    if (curves.drawn > 0 && this.left) {
      if (!this.snapToStart()) curves.line(fromX, fromY);
      curves.keep(true);
    } else {
      this.withoutLength += 1;
    }
    this.drew = false;
    this.left = false;
    this.hereX = fromX;
    this.hereY = fromY;
    this.x = this.startX;
    this.y = this.startY;
    curves.begin(fromX, fromY);
  }

  /** Ends the last subpath; all of them are in the store then. */
  finish(): void {
    this.finishSubpath();
    this.curves.drop();
  }

  /**
   * Whether the box around every end and control point, which is never smaller than that of the
   * curves, lies in another.
   */
  isWithin(box: Box): boolean {
    return this.minX >= box.minX && this.minY >= box.minY && this.maxX <= box.maxX && this.maxY <= box.maxY;
  }

  private finishSubpath(): void {
    const { curves } = this;
    if (curves.drawn > 0 && this.left) {
      const turnsBack = curves.drawn > 1 || !curves.lastIsLine;
      curves.keep(turnsBack && this.snapToStart());
      curves.begin(this.hereX, this.hereY);
    } else if (this.drew) {
      this.withoutLength += 1;
      curves.begin(this.hereX, this.hereY);
    }
    this.drew = false;
    this.left = false;
  }

  private isHere(x: number, y: number): boolean {
    return Math.abs(x - this.hereX) <= leastStep && Math.abs(y - this.hereY) <= leastStep;
  }

  private leave(x: number, y: number): void {
    this.left ||= Math.abs(x - this.fromX) > closingDistance || Math.abs(y - this.fromY) > closingDistance;
  }

  private leaveBox(box: Box): void {
    this.leave(box.minX, box.minY);
    this.leave(box.maxX, box.maxY);
  }

  /**
   * True when the current point is the start, within the closing distance; the last segment then
   * ends there exactly.
   */
  private snapToStart(): boolean {
    const { curves, fromX, fromY } = this;
    const dx = this.hereX - fromX;
    const dy = this.hereY - fromY;
    if (dx === 0 && dy === 0) return true;
    if (!(dx * dx + dy * dy <= closingDistance * closingDistance)) return false;
    const isStep = curves.drawn > 1 && curves.lastIsLine && curves.lastStartsAt(fromX, fromY);
    if (isStep) curves.dropLastLine();
    else curves.endLastAt(fromX, fromY);
    return true;
  }

  private place(x: number, y: number): void {
    const px = this.a * x + this.c * y + this.e;
    const py = this.b * x + this.d * y + this.f;
    if (px < this.minX) this.minX = px;
    if (px > this.maxX) this.maxX = px;
    if (py < this.minY) this.minY = py;
    if (py > this.maxY) this.maxY = py;
    this.placedX = px;
    this.placedY = py;
    if (!(Math.abs(px) <= largestCoordinate && Math.abs(py) <= largestCoordinate)) throw this.tooFar(px, py);
  }

  private placeArc(arc: Arc | EllipticalArc): Arc | EllipticalArc {
    const placed = transformSegment(this.matrix, arc) as Arc | EllipticalArc;
    const box = segmentBox(placed);
    const far = Math.max(-box.minX, -box.minY, box.maxX, box.maxY);
    if (far <= largestCoordinate && isSound(placed)) {
      this.minX = Math.min(this.minX, box.minX);
      this.minY = Math.min(this.minY, box.minY);
      this.maxX = Math.max(this.maxX, box.maxX);
      this.maxY = Math.max(this.maxY, box.maxY);
      return placed;
    }
    throw this.tooFar(Math.max(-box.minX, box.maxX), Math.max(-box.minY, box.maxY));
  }

  /** The box of a whole circle needs no search for the points at which it turns. */
  private placeWhole(arc: Arc | EllipticalArc): Arc | EllipticalArc {
    const placed = transformSegment(this.matrix, arc);
    if (placed.kind !== 'arc') return this.placeArc(arc);
    const { x, y } = placed.centre;
    // Rounding of the points of the circle included.
    const reach = placed.radius * (1 + 1e-12) + 1e-12 * (Math.abs(x) + Math.abs(y));
    const far = Math.max(Math.abs(x), Math.abs(y)) + reach;
    if (!(far <= largestCoordinate && isSound(placed))) return this.placeArc(arc);
    this.minX = Math.min(this.minX, x - reach);
    this.minY = Math.min(this.minY, y - reach);
    this.maxX = Math.max(this.maxX, x + reach);
    this.maxY = Math.max(this.maxY, y + reach);
    return placed;
  }

  private tooFar(x: number, y: number): AttributeFault {
    const where = Number.isFinite(x + y)
      ? `at (${x.toPrecision(4)}, ${y.toPrecision(4)}) mm on the page`
      : 'with coordinates too large to compute with';
    return new AttributeFault({
      attribute: this.attribute,
      offset: this.offset,
      found: `a point ${where}`,
      expected: `coordinates within ${largestCoordinate} mm`,
      next: 'Correct the coordinates, the transforms or the units of the drawing.',
    });
  }
}

const isSound = (s: Arc | EllipticalArc): boolean => {
  if (s.kind === 'arc') return Number.isFinite(s.centre.x + s.centre.y + s.radius + s.start + s.sweep);
  return Number.isFinite(s.centre.x + s.centre.y + s.u.x + s.u.y + s.v.x + s.v.y + s.start + s.sweep);
};
