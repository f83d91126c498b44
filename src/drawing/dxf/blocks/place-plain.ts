/** The entities that come in hundreds of thousands, placed number by number into the store. */
import { determinant, keepsCircles, type Matrix } from '../../../geometry/affine.js';
import type { CurveStore } from '../../../geometry/curve-store.js';
import { flatBulge, straightBulge } from '../curves/bulge.js';
import type { CurveEntity, LineEntity, PolylineEntity, RoundEntity } from '../entities.js';

/**
 * mm; what lies farther out is looked at more closely, and so is what comes nearer to having no
 * length.
 */
const near = 1e7;
const long = 1e-5;

/**
 * Lines, polylines, circles and arcs about which nothing is in doubt: level, seen from above,
 * within reach, without steps that come near to having no length, and circles that stay circles.
 * What it keeps is what `placeEntity` would have placed, to the last bit.
 */
export class PlainPlacer {
  private matrix: Matrix | undefined;
  private a = 1;
  private b = 0;
  private c = 0;
  private d = 1;
  private e = 0;
  private f = 0;
  private isRound = true;
  private isMirrored = false;
  /** Of circles; NaN until they are asked for. */
  private turn = Number.NaN;
  private stretch = Number.NaN;
  private points = new Float64Array(64);

  constructor(private readonly curves: CurveStore) {}

  /**
   * Keeps the path of an entity in the store; false where it has to be looked at more closely, and
   * nothing was kept.
   */
  place(entity: CurveEntity, matrix: Matrix): boolean {
    if (matrix !== this.matrix) this.take(matrix);
    switch (entity.kind) {
      case 'line':
        return this.placeLine(entity);
      case 'round':
        return this.placeRound(entity);
      case 'polyline':
        return this.placePolyline(entity);
      default:
        return false;
    }
  }

  private take(matrix: Matrix): void {
    this.matrix = matrix;
    this.a = matrix[0];
    this.b = matrix[1];
    this.c = matrix[2];
    this.d = matrix[3];
    this.e = matrix[4];
    this.f = matrix[5];
    this.isRound = keepsCircles(matrix);
    this.isMirrored = determinant(matrix) < 0;
    this.turn = this.stretch = Number.NaN;
  }

  private placeLine({ from, to }: LineEntity): boolean {
    if (from.z !== to.z) return false;
    const { a, b, c, d, e, f, curves } = this;
    const x0 = a * from.x + c * from.y + e;
    const y0 = b * from.x + d * from.y + f;
    const x1 = a * to.x + c * to.y + e;
    const y1 = b * to.x + d * to.y + f;
    if (!(isNear(x0, y0) && isNear(x1, y1) && isLong(x1 - x0, y1 - y0))) return false;
    curves.begin(x0, y0);
    curves.line(x1, y1);
    curves.keep(false);
    return true;
  }

  private placeRound({ facing, centre, radius, start, sweep }: RoundEntity): boolean {
    if (facing !== 'up' || !this.isRound) return false;
    if (Number.isNaN(this.turn)) {
      this.turn = Math.atan2(this.b, this.a);
      this.stretch = Math.sqrt(Math.abs(determinant(this.matrix!)));
    }
    const x = this.a * centre.x + this.c * centre.y + this.e;
    const y = this.b * centre.x + this.d * centre.y + this.f;
    const placed = radius * this.stretch;
    if (!(isNear(x, y) && placed <= near && placed * Math.min(Math.abs(sweep), 1) >= long)) return false;
    const isWhole = Math.abs(sweep) === 2 * Math.PI;
    if (this.isMirrored) this.curves.singleArc(x, y, placed, this.turn - start, -sweep, isWhole);
    else this.curves.singleArc(x, y, placed, this.turn + start, sweep, isWhole);
    return true;
  }

  private placePolyline({ facing, vertices, closed, wide }: PolylineEntity): boolean {
    const count = vertices.length / 3;
    if (facing !== 'up' || wide || count < 3) return false;
    const { a, b, c, d, e, f, curves } = this;
    if (this.points.length < 2 * count) this.points = new Float64Array(4 * count);
    const { points } = this;
    for (let i = 0; i < count; i += 1) {
      const localX = vertices[3 * i]!;
      const localY = vertices[3 * i + 1]!;
      const x = a * localX + c * localY + e;
      const y = b * localX + d * localY + f;
      if (!isNear(x, y)) return false;
      if (i > 0 && !isLong(x - points[2 * i - 2]!, y - points[2 * i - 1]!)) return false;
      points[2 * i] = x;
      points[2 * i + 1] = y;
    }
    const last = count - 1;
    const comesBack = points[2 * last] === points[0] && points[2 * last + 1] === points[1];
    if (!comesBack && !isLong(points[2 * last]! - points[0]!, points[2 * last + 1]! - points[1]!))
      return false;
    curves.begin(points[0]!, points[1]!);
    for (let i = 1; i < count; i += 1) if (!this.edge(i - 1, i, vertices[3 * i - 1]!)) return false;
    if (closed && !comesBack && !this.edge(last, 0, vertices[3 * last + 2]!)) return false;
    curves.keep(closed || comesBack);
    return true;
  }

  /** See `bulgedEdge`. */
  private edge(from: number, to: number, bulge: number): boolean {
    const { points, curves } = this;
    const x = points[2 * to]!;
    const y = points[2 * to + 1]!;
    const size = Math.abs(bulge);
    if (size < straightBulge) {
      if (bulge !== 0 && !this.isRound) return false;
      curves.line(x, y);
      return true;
    }
    if (!this.isRound || size < flatBulge || size > 1) return false;
    const fromX = points[2 * from]!;
    const fromY = points[2 * from + 1]!;
    const handed = (this.isMirrored ? -1 : 1) * bulge;
    const dx = x - fromX;
    const dy = y - fromY;
    const aside = (1 / handed - handed) / 4;
    const toCentreX = dx / 2 - aside * dy;
    const toCentreY = dy / 2 + aside * dx;
    const radius = (Math.hypot(dx, dy) * (1 / size + size)) / 4;
    const start = Math.atan2(-toCentreY, -toCentreX);
    curves.arc(fromX + toCentreX, fromY + toCentreY, radius, start, 4 * Math.atan(handed), x, y);
    return true;
  }
}

/** False for what is no number as well. */
const isNear = (x: number, y: number): boolean => Math.abs(x) <= near && Math.abs(y) <= near;

const isLong = (dx: number, dy: number): boolean => Math.abs(dx) >= long || Math.abs(dy) >= long;
