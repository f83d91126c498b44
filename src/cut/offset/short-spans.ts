/**
 * Spans too short to be told from a point, taken out of a ring where its neighbours can go on to meet each other. They keep
 * their lines and circles, and only end elsewhere; where these do not cross nearby, one of the two is led to the other's end.
 */
import {
  distanceToSpan,
  lineSpan,
  origins,
  type Ring,
  type Span,
  spanLength,
  spanOf,
  spanPoint,
} from '../../geometry/spans/span.js';

export interface ShortSpanBounds {
  /** Spans shorter than this are taken out, mm. */
  readonly shortest: number;
  /** How far the ring may move where the ends of a span are what they stand for exactly, and where it is fitted, mm. */
  readonly atBreaks: number;
  readonly elsewhere: number;
}

/**
 * @param exactly for each span, whether its start lies on what the ring stands for, not only near it
 * @returns the ring without short spans, as far as the bounds allow
 */
export const withoutShortSpans = (
  ring: Ring,
  exactly: readonly boolean[],
  { shortest, atBreaks, elsewhere }: ShortSpanBounds,
): Span[] => {
  const out = [...ring];
  const exact = [...exactly];
  for (let i = 0; i < out.length && out.length > 3; i++) {
    if (spanLength(out[i]!) >= shortest) continue;
    const before = (i + out.length - 1) % out.length;
    const after = (i + 1) % out.length;
    const isExact = exact[i]! && exact[after]!;
    const bound = isExact ? atBreaks : elsewhere;
    const met = meeting(out[before]!, out[i]!, out[after]!, { bound, fitted: elsewhere });
    if (met === undefined) continue;
    out[before] = met.before;
    out[after] = met.after;
    out.splice(i, 1);
    exact.splice(i, 1);
    // What follows starts where the one before it ends now.
    exact[i % out.length] = isExact;
    i = Math.max(-1, i - 2);
  }
  return out;
};

interface Met {
  readonly before: Span;
  readonly after: Span;
}

const meeting = (
  p: Span,
  short: Span,
  q: Span,
  { bound, fitted }: { readonly bound: number; readonly fitted: number },
): Met | undefined => {
  const at = crossing(p, q, spanPoint(short, 0.5));
  const crossed = at === undefined ? undefined : { before: endingOn(p, at), after: startingOn(q, at) };
  if (crossed !== undefined && isNear(crossed, p, short, q, bound)) return crossed;
  // Led to where the other one ends: a fitted span has no room to be turned in.
  const roomOf = ({ origin }: Span): number => (origin === origins.curve ? fitted : bound);
  const ledBack: Met = { before: p, after: ledFrom(q, { x: short.ax, y: short.ay }) };
  if (offFrom(q, short.ax, short.ay) <= roomOf(q) && isNear(ledBack, p, short, q, bound)) return ledBack;
  const ledOn: Met = { before: ledTo(p, { x: short.bx, y: short.by }), after: q };
  if (offFrom(p, short.bx, short.by) <= roomOf(p) && isNear(ledOn, p, short, q, bound)) return ledOn;
  return undefined;
};

interface XY {
  readonly x: number;
  readonly y: number;
}

/** Both go on in their direction, and neither the new corner nor what is cut off lies farther than the bound from the other course. */
const isNear = ({ before, after }: Met, p: Span, short: Span, q: Span, bound: number): boolean => {
  if (!runsOn(before, p) || !runsOn(after, q)) return false;
  const { bx: x, by: y } = before;
  const toOld = Math.min(distanceToSpan(p, x, y), distanceToSpan(short, x, y), distanceToSpan(q, x, y));
  if (toOld > bound) return false;
  const middle = spanPoint(short, 0.5);
  return [{ x: short.ax, y: short.ay }, middle, { x: short.bx, y: short.by }].every(
    (at) => Math.min(distanceToSpan(before, at.x, at.y), distanceToSpan(after, at.x, at.y)) <= bound,
  );
};

/** At least half as long as before, and not turned round. */
const runsOn = (now: Span, before: Span): boolean =>
  spanLength(now) > spanLength(before) / 2 &&
  (now.bx - now.ax) * (before.bx - before.ax) + (now.by - now.ay) * (before.by - before.ay) > 0 &&
  Math.abs(now.sweep - before.sweep) < 0.5;

/** How far a point lies from the line or circle of a span. */
const offFrom = (s: Span, x: number, y: number): number => {
  if (s.radius !== 0) return Math.abs(Math.hypot(x - s.cx, y - s.cy) - s.radius);
  return Math.abs((x - s.ax) * (s.by - s.ay) - (y - s.ay) * (s.bx - s.ax)) / spanLength(s);
};

const turnAbout = (s: Span, fromX: number, fromY: number, toX: number, toY: number): number => {
  const [ax, ay, bx, by] = [fromX - s.cx, fromY - s.cy, toX - s.cx, toY - s.cy];
  return Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
};

/** The same line or circle to another end on it. */
const endingOn = (s: Span, { x, y }: XY): Span =>
  s.radius === 0
    ? s.endingAt(x, y)
    : spanOf(s.ax, s.ay, x, y, s.radius, s.cx, s.cy, s.sweep + turnAbout(s, s.bx, s.by, x, y), s.origin);

const startingOn = (s: Span, { x, y }: XY): Span =>
  s.radius === 0
    ? s.startingAt(x, y)
    : spanOf(x, y, s.bx, s.by, s.radius, s.cx, s.cy, s.sweep - turnAbout(s, s.ax, s.ay, x, y), s.origin);

/** A span to, or from, a point off its line or circle: with the radius it had. */
const ledTo = (s: Span, { x, y }: XY): Span => withRadius(s, s.ax, s.ay, x, y);
const ledFrom = (s: Span, { x, y }: XY): Span => withRadius(s, x, y, s.bx, s.by);

const withRadius = (s: Span, ax: number, ay: number, bx: number, by: number): Span => {
  if (s.radius === 0) return lineSpan(ax, ay, bx, by, s.origin);
  const chord = Math.hypot(bx - ax, by - ay);
  const half = chord / 2 / s.radius;
  // Nearly half a turn is fixed badly by its ends: such an arc stays what it is.
  if (half > 0.95 || Math.abs(s.sweep) > 2.5) return s;
  const sweep = 2 * Math.asin(half) * Math.sign(s.sweep);
  const apart = Math.sqrt(s.radius ** 2 - (chord / 2) ** 2) * Math.sign(s.sweep);
  const cx = (ax + bx) / 2 - ((by - ay) / chord) * apart;
  const cy = (ay + by) / 2 + ((bx - ax) / chord) * apart;
  return spanOf(ax, ay, bx, by, s.radius, cx, cy, sweep, s.origin);
};

/** Where the lines or circles of two spans cross, nearest to a point; undefined where they do not. */
const crossing = (p: Span, q: Span, near: XY): XY | undefined => {
  const found =
    p.radius === 0
      ? q.radius === 0
        ? crossLines(p, q)
        : crossLineAndCircle(p, q)
      : q.radius === 0
        ? crossLineAndCircle(q, p)
        : crossCircles(p, q);
  const off = ({ x, y }: XY): number => Math.hypot(x - near.x, y - near.y);
  return found.length === 2 && off(found[1]!) < off(found[0]!) ? found[1] : found[0];
};

const crossLines = (p: Span, q: Span): XY[] => {
  const [ux, uy, vx, vy] = [p.bx - p.ax, p.by - p.ay, q.bx - q.ax, q.by - q.ay];
  const cross = ux * vy - uy * vx;
  if (cross === 0) return [];
  const t = ((q.ax - p.bx) * vy - (q.ay - p.by) * vx) / cross;
  return [{ x: p.bx + t * ux, y: p.by + t * uy }];
};

const crossLineAndCircle = (line: Span, { cx, cy, radius }: Span): XY[] => {
  const size = spanLength(line);
  const [ux, uy] = [(line.bx - line.ax) / size, (line.by - line.ay) / size];
  const along = (cx - line.ax) * ux + (cy - line.ay) * uy;
  const off = (cx - line.ax) * uy - (cy - line.ay) * ux;
  const rest = radius * radius - off * off;
  if (rest < 0) return [];
  return [along - Math.sqrt(rest), along + Math.sqrt(rest)].map((t) => ({
    x: line.ax + t * ux,
    y: line.ay + t * uy,
  }));
};

const crossCircles = (p: Span, q: Span): XY[] => {
  const [dx, dy] = [q.cx - p.cx, q.cy - p.cy];
  const apart = Math.hypot(dx, dy);
  if (apart === 0) return [];
  const along = (apart * apart + p.radius * p.radius - q.radius * q.radius) / (2 * apart);
  const rest = p.radius * p.radius - along * along;
  if (rest < 0) return [];
  return [-Math.sqrt(rest), Math.sqrt(rest)].map((side) => ({
    x: p.cx + (along * dx - side * dy) / apart,
    y: p.cy + (along * dy + side * dx) / apart,
  }));
};
