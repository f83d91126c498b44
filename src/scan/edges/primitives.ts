/** Stretches of points as lines and circles of their own, where these meet, and the chain that begins from them. */
import type { Point } from '../../geometry/point.js';
import type { ChainPoints } from '../curves/adjustment.js';
import type { Chain } from '../curves/chain.js';
import type { Stretch } from '../curves/segmentation.js';
import { type FittedCircle, type FittedLine, Moments } from '../picture/moments.js';

/** A stretch of points as a line or a circle of its own. */
type Primitive = { readonly line: FittedLine } | { readonly circle: FittedCircle };

/** Least squares of all points of a stretch but the first and last `gap`; a line where no circle is determined. */
export const primitiveOf = (
  { x, y }: Pick<ChainPoints, 'x' | 'y'>,
  { from, count, kind }: Stretch,
  gap: number,
): Primitive => {
  const n = x.length;
  const skip = Math.min(gap, Math.max(0, Math.floor((count - 5) / 2)));
  const moments = new Moments(x[from % n]!, y[from % n]!);
  for (let j = skip; j < count - skip; j += 1) moments.add(x[(from + j) % n]!, y[(from + j) % n]!);
  const circle = kind === 'arc' ? moments.circle() : undefined;
  return circle === undefined ? { line: moments.line() } : { circle };
};

/** Where two primitives meet near a point; undefined where they do not. */
export const meeting = (a: Primitive, b: Primitive, near: Point): Point | undefined => {
  const candidates: Point[] = [];
  if ('line' in a && 'line' in b) {
    const cross = a.line.dx * b.line.dy - a.line.dy * b.line.dx;
    if (Math.abs(cross) < 1e-9) return undefined;
    const t = ((b.line.x - a.line.x) * b.line.dy - (b.line.y - a.line.y) * b.line.dx) / cross;
    candidates.push({ x: a.line.x + t * a.line.dx, y: a.line.y + t * a.line.dy });
  } else if ('circle' in a && 'circle' in b) {
    const dx = b.circle.x - a.circle.x;
    const dy = b.circle.y - a.circle.y;
    const d = Math.hypot(dx, dy);
    if (d === 0) return undefined;
    const t = (d * d + a.circle.radius ** 2 - b.circle.radius ** 2) / (2 * d);
    const h2 = a.circle.radius ** 2 - t * t;
    if (h2 < 0) return undefined;
    const h = Math.sqrt(h2);
    for (const s of [1, -1]) {
      candidates.push({
        x: a.circle.x + (t * dx - s * h * dy) / d,
        y: a.circle.y + (t * dy + s * h * dx) / d,
      });
    }
  } else {
    const { line } = ('line' in a ? a : b) as { line: FittedLine };
    const { circle } = ('line' in a ? b : a) as { circle: FittedCircle };
    const t = (circle.x - line.x) * line.dx + (circle.y - line.y) * line.dy;
    const away = (circle.x - line.x) * line.dy - (circle.y - line.y) * line.dx;
    const h2 = circle.radius ** 2 - away * away;
    if (h2 < 0) return undefined;
    const h = Math.sqrt(h2);
    for (const s of [1, -1])
      candidates.push({ x: line.x + (t + s * h) * line.dx, y: line.y + (t + s * h) * line.dy });
  }
  const far = (p: Point): number => Math.hypot(p.x - near.x, p.y - near.y);
  return candidates.sort((p, q) => far(p) - far(q))[0];
};

/** Unit vector along a primitive near a point of it, on the side of `along`. */
export const directionNear = (p: Primitive, at: Point, along: Point): Point => {
  const raw =
    'line' in p
      ? { x: p.line.dx, y: p.line.dy }
      : { x: -(at.y - p.circle.y) / p.circle.radius, y: (at.x - p.circle.x) / p.circle.radius };
  return raw.x * along.x + raw.y * along.y >= 0 ? raw : { x: -raw.x, y: -raw.y };
};

/** The stretches joined where they meet; in the middle of the points there where they do not. */
export const startChain = (points: ChainPoints, stretches: readonly Stretch[], gap: number): Chain => {
  const { x, y } = points;
  const n = x.length;
  const k = stretches.length;
  const primitives = stretches.map((stretch) => primitiveOf(points, stretch, gap));
  const cornerX = new Float64Array(k);
  const cornerY = new Float64Array(k);
  for (let j = 0; j < k; j += 1) {
    const at = stretches[j]!.from % n;
    const before = (at + n - 1) % n;
    const near = { x: (x[at]! + x[before]!) / 2, y: (y[at]! + y[before]!) / 2 };
    const cross = meeting(primitives[(j + k - 1) % k]!, primitives[j]!, near);
    const good = cross !== undefined && Math.hypot(cross.x - near.x, cross.y - near.y) < 14;
    cornerX[j] = good ? cross.x : near.x;
    cornerY[j] = good ? cross.y : near.y;
  }
  const sides = stretches.map(({ from, count, kind }, j) => {
    if (kind === 'line' || 'line' in primitives[j]!) return { kind, bulge: kind === 'line' ? 0 : 1e-4 };
    const next = (j + 1) % k;
    const { circle } = primitives[j] as { circle: FittedCircle };
    const angle = (px: number, py: number): number => Math.atan2(py - circle.y, px - circle.x);
    const middle = (from + (count >> 1)) % n;
    const a = angle(cornerX[j]!, cornerY[j]!);
    const m = angle(x[middle]!, y[middle]!);
    const b = angle(cornerX[next]!, cornerY[next]!);
    const ccw = (v: number): number => ((v % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI);
    const sweep = ccw(m - a) < ccw(b - a) ? ccw(b - a) : ccw(b - a) - 2 * Math.PI;
    return { kind, bulge: Math.tan(sweep / 4) };
  });
  return { x: cornerX, y: cornerY, sides };
};
