/** Subpaths built point by point, placed in millimetres as they come. */
import type { Matrix } from '../geometry/affine.js';
import {
  type Arc,
  type EllipticalArc,
  type Path,
  type Segment,
  segmentBox,
  startOf,
  transformSegment,
} from '../geometry/curve.js';
import { PackedSegments } from '../geometry/packed-path.js';
import type { Box, Point } from '../geometry/point.js';
import { AttributeFault } from './attribute-fault.js';
import { arcFromEnds } from './svg-arc.js';

/** No bed and no drawing reaches a kilometre; a coordinate beyond it is a slip of the file. */
export const largestCoordinate = 1e6;
/** Subpaths with more segments than this are packed. */
const mostUnpacked = 64;
/** A path drawn back to its start point within this distance (mm) is closed, with or without a closing command. */
export const closingDistance = 1e-6;

/**
 * Takes coordinates of the drawing's own units and keeps placed segments. Segments without length are dropped; a
 * subpath of which nothing is left is counted in `withoutLength`.
 */
export class PathBuilder {
  readonly paths: Path[] = [];
  /** Subpaths that were drawn but have no length. */
  withoutLength = 0;
  /** Where the element being drawn stands in its attribute, for messages; set by the caller as it goes on. */
  attribute: string | undefined;
  offset = 0;
  /** The current point, in the drawing's own units. */
  x = 0;
  y = 0;
  private startX = 0;
  private startY = 0;
  private start: Point = { x: 0, y: 0 };
  private here: Point = { x: 0, y: 0 };
  private segments: Segment[] = [];
  /** All segments of the subpath, once there are many of them; `segments` is empty then. */
  private packed: PackedSegments | undefined;
  private drew = false;
  private minX = Number.POSITIVE_INFINITY;
  private minY = Number.POSITIVE_INFINITY;
  private maxX = Number.NEGATIVE_INFINITY;
  private maxY = Number.NEGATIVE_INFINITY;

  /** The matrix, number by number: every point of a drawing goes through it. */
  private readonly a: number;
  private readonly b: number;
  private readonly c: number;
  private readonly d: number;
  private readonly e: number;
  private readonly f: number;

  constructor(private readonly matrix: Matrix) {
    [this.a, this.b, this.c, this.d, this.e, this.f] = matrix;
  }

  moveTo(x: number, y: number): void {
    this.finishSubpath();
    this.here = this.place(x, y);
    this.start = this.here;
    this.startX = this.x = x;
    this.startY = this.y = y;
  }

  lineTo(x: number, y: number): void {
    const to = this.place(x, y);
    const from = this.here;
    this.drew = true;
    this.x = x;
    this.y = y;
    if (from.x === to.x && from.y === to.y) return;
    if (this.packed !== undefined) this.packed.line(to);
    else this.add({ kind: 'line', from, to }, to);
    this.here = to;
  }

  cubicTo(x1: number, y1: number, x2: number, y2: number, x: number, y: number): void {
    const from = this.here;
    const control1 = this.place(x1, y1);
    const control2 = this.place(x2, y2);
    const to = this.place(x, y);
    this.drew = true;
    this.x = x;
    this.y = y;
    const still =
      from.x === to.x && from.y === to.y && samePoint(from, control1) && samePoint(from, control2);
    if (still) return;
    if (this.packed !== undefined) this.packed.cubic(control1, control2, to);
    else this.add({ kind: 'cubic', from, control1, control2, to }, to);
    this.here = to;
  }

  /** A quadratic curve is the cubic with its controls two thirds of the way to the one control: exact. */
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
    const to = this.place(x, y);
    this.x = x;
    this.y = y;
    if (samePoint(this.here, to)) return;
    const placed = this.placeArc(arc);
    if (this.packed !== undefined) this.packed.other(placed, to);
    else this.add(placed, to);
    this.here = to;
  }

  /** A whole circle or ellipse as one closed subpath. */
  fullTurn(arc: Arc | EllipticalArc): void {
    this.finishSubpath();
    this.paths.push({ segments: [this.placeArc(arc)], closed: true });
  }

  /** Draws back to the start of the subpath; the next segment starts there. */
  close(): void {
    if (this.count > 0) {
      if (!this.snapToStart()) {
        if (this.packed !== undefined) this.packed.line(this.start);
        else this.add({ kind: 'line', from: this.here, to: this.start }, this.start);
      }
      this.keep(true);
    } else {
      this.withoutLength += 1;
    }
    this.drew = false;
    this.here = this.start;
    this.x = this.startX;
    this.y = this.startY;
  }

  /** Ends the last subpath; `paths` is complete then. */
  finish(): void {
    this.finishSubpath();
  }

  /** A box around every end and control point: never smaller than the box of the curves. */
  get hull(): Box {
    return { minX: this.minX, minY: this.minY, maxX: this.maxX, maxY: this.maxY };
  }

  private finishSubpath(): void {
    const { count } = this;
    if (count > 0) {
      const turnsBack = count > 1 || this.segments[0]!.kind !== 'line';
      this.keep(turnsBack && this.snapToStart());
    } else if (this.drew) {
      this.withoutLength += 1;
    }
    this.drew = false;
  }

  /** True when the current point is the start, within the closing distance; the last segment then ends there exactly. */
  private snapToStart(): boolean {
    const { segments, start, here } = this;
    const dx = here.x - start.x;
    const dy = here.y - start.y;
    if (dx === 0 && dy === 0) return true;
    if (!(dx * dx + dy * dy <= closingDistance * closingDistance)) return false;
    const { packed } = this;
    if (packed !== undefined) {
      // Longer than the closing distance all in all, so that something is left.
      if (packed.lastIsLine && samePoint(packed.startOfLast, start)) packed.dropLastLine();
      else packed.endLastAt(start);
      return true;
    }
    const last = segments[segments.length - 1]!;
    if (last.kind === 'line') {
      segments.pop();
      if (segments.length === 0 || !samePoint(last.from, start)) segments.push({ ...last, to: start });
    } else if (last.kind === 'cubic') {
      segments[segments.length - 1] = { ...last, to: start };
    }
    return true;
  }

  private keep(closed: boolean): void {
    if (this.packed !== undefined) this.paths.push(this.packed.path(closed));
    else if (this.segments.length > 0) this.paths.push({ segments: this.segments, closed });
    else this.withoutLength += 1;
    this.segments = [];
    this.packed = undefined;
  }

  private get count(): number {
    return this.packed?.count ?? this.segments.length;
  }

  /** @param to where the next segment starts */
  private add(segment: Segment, to: Point): void {
    this.segments.push(segment);
    if (this.segments.length <= mostUnpacked) return;
    const packed = new PackedSegments(this.start);
    this.segments.forEach((s, i) => {
      if (s.kind === 'line') packed.line(s.to);
      else if (s.kind === 'cubic') packed.cubic(s.control1, s.control2, s.to);
      else packed.other(s, i + 1 < this.segments.length ? startOf(this.segments[i + 1]!) : to);
    });
    this.packed = packed;
    this.segments = [];
  }

  private place(x: number, y: number): Point {
    const px = this.a * x + this.c * y + this.e;
    const py = this.b * x + this.d * y + this.f;
    if (px < this.minX) this.minX = px;
    if (px > this.maxX) this.maxX = px;
    if (py < this.minY) this.minY = py;
    if (py > this.maxY) this.maxY = py;
    if (Math.abs(px) <= largestCoordinate && Math.abs(py) <= largestCoordinate) return { x: px, y: py };
    throw this.tooFar(px, py);
  }

  private placeArc(arc: Arc | EllipticalArc): Segment {
    const placed = transformSegment(this.matrix, arc);
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

const isSound = (s: Segment): boolean => {
  if (s.kind === 'arc') return Number.isFinite(s.centre.x + s.centre.y + s.radius + s.start + s.sweep);
  if (s.kind !== 'elliptical-arc') return true;
  return Number.isFinite(s.centre.x + s.centre.y + s.u.x + s.u.y + s.v.x + s.v.y + s.start + s.sweep);
};

const samePoint = (a: Point, b: Point): boolean => a.x === b.x && a.y === b.y;
