/**
 * Best lines and circles through points that are added one by one, from sums of their powers alone. Circles by G. Taubin,
 * *Estimation of planar curves, surfaces and nonplanar space curves*, IEEE PAMI 13 (1991), with N. Chernov's Newton steps
 * (*Circular and Linear Regression*, 2010, section 5.9).
 */

/** centre and radius in the coordinates of the points; `squares` is the sum of squared distances from it. */
export interface FittedCircle {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
  readonly squares: number;
}

/** Through (x, y) along the unit vector (dx, dy). */
export interface FittedLine {
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
  readonly squares: number;
}

/** Sums relative to an origin near the points: they lose no digits that matter as long as all lie within some 10,000 of it. */
export class Moments {
  n = 0;
  private sx = 0;
  private sy = 0;
  private sxx = 0;
  private sxy = 0;
  private syy = 0;
  private sxz = 0;
  private syz = 0;
  private szz = 0;

  constructor(
    private originX: number,
    private originY: number,
  ) {}

  restart(originX: number, originY: number): void {
    this.originX = originX;
    this.originY = originY;
    this.n = 0;
    this.sx = 0;
    this.sy = 0;
    this.sxx = 0;
    this.sxy = 0;
    this.syy = 0;
    this.sxz = 0;
    this.syz = 0;
    this.szz = 0;
  }

  add(x: number, y: number): void {
    const u = x - this.originX;
    const v = y - this.originY;
    const z = u * u + v * v;
    this.n += 1;
    this.sx += u;
    this.sy += v;
    this.sxx += u * u;
    this.sxy += u * v;
    this.syy += v * v;
    this.sxz += u * z;
    this.syz += v * z;
    this.szz += z * z;
  }

  lineSquares(): number {
    const { n, sx, sy } = this;
    const a = this.sxx - (sx * sx) / n;
    const b = this.sxy - (sx * sy) / n;
    const c = this.syy - (sy * sy) / n;
    const half = (a - c) / 2;
    return Math.max(0, (a + c) / 2 - Math.sqrt(half * half + b * b));
  }

  line(): FittedLine {
    const { n, sx, sy } = this;
    const a = this.sxx - (sx * sx) / n;
    const b = this.sxy - (sx * sy) / n;
    const c = this.syy - (sy * sy) / n;
    const angle = Math.atan2(2 * b, a - c) / 2;
    return {
      x: this.originX + sx / n,
      y: this.originY + sy / n,
      dx: Math.cos(angle),
      dy: Math.sin(angle),
      squares: this.lineSquares(),
    };
  }

  // Of the circle fitted last, relative to the middle of the points.
  private centreX = 0;
  private centreY = 0;
  private radius = 0;

  /** Sum of squared distances from the best circle; that of the line where the points are straight. */
  circleSquares(): number {
    const { n, sx, sy, sxx, sxy, syy, sxz, syz, szz } = this;
    const mx = sx / n;
    const my = sy / n;
    const m = mx * mx + my * my;
    const uu = sxx - n * mx * mx;
    const uv = sxy - n * mx * my;
    const vv = syy - n * my * my;
    const sz = sxx + syy;
    const w = uu + vv;
    const uw = sxz - 2 * mx * sxx - 2 * my * sxy + m * sx - mx * w;
    const vw = syz - 2 * mx * sxy - 2 * my * syy + m * sy - my * w;
    const ww =
      szz +
      4 * mx * mx * sxx +
      4 * my * my * syy +
      n * m * m -
      4 * mx * sxz -
      4 * my * syz +
      2 * m * sz +
      8 * mx * my * sxy -
      4 * m * (mx * sx + my * sy);
    const Mxx = uu / n;
    const Mxy = uv / n;
    const Myy = vv / n;
    const Mxz = uw / n;
    const Myz = vw / n;
    const Mzz = ww / n;
    const Mz = Mxx + Myy;
    const cov = Mxx * Myy - Mxy * Mxy;
    const a3 = 4 * Mz;
    const a2 = -3 * Mz * Mz - Mzz;
    const varZ = Mzz - Mz * Mz;
    const a1 = varZ * Mz + 4 * cov * Mz - Mxz * Mxz - Myz * Myz;
    const a0 = Mxz * (Mxz * Myy - Myz * Mxy) + Myz * (Myz * Mxx - Mxz * Mxy) - varZ * cov;
    let x = 0;
    let y = a0;
    for (let turn = 0; turn < 30; turn += 1) {
      const slope = a1 + x * (2 * a2 + 3 * a3 * x);
      const next = x - y / slope;
      if (next === x || !Number.isFinite(next)) break;
      const value = a0 + next * (a1 + next * (a2 + next * a3));
      if (Math.abs(value) >= Math.abs(y)) break;
      x = next;
      y = value;
    }
    const det = x * x - x * Mz + cov;
    const cx = (Mxz * (Myy - x) - Myz * Mxy) / det / 2;
    const cy = (Myz * (Mxx - x) - Mxz * Mxy) / det / 2;
    const rr = cx * cx + cy * cy + Mz;
    this.centreX = cx;
    this.centreY = cy;
    this.radius = Math.sqrt(rr);
    // Farther than this from the points the arc is a line to any picture, and the sums have lost their digits.
    if (!(rr < 1e10)) return this.lineSquares();
    // Sum of (w - 2 cx u - 2 cy v + cx^2 + cy^2 - r^2)^2 with the middle of u and v at 0, over (2 r)^2.
    const k = -Mz;
    const sum =
      ww +
      4 * cx * cx * uu +
      4 * cy * cy * vv +
      n * k * k -
      4 * cx * uw -
      4 * cy * vw +
      2 * k * w +
      8 * cx * cy * uv;
    return Math.max(0, sum / (4 * rr));
  }

  /** Undefined where the points are straight. */
  circle(): FittedCircle | undefined {
    const squares = this.circleSquares();
    if (!(this.radius < 1e5)) return undefined;
    return {
      x: this.originX + this.sx / this.n + this.centreX,
      y: this.originY + this.sy / this.n + this.centreY,
      radius: this.radius,
      squares,
    };
  }
}
