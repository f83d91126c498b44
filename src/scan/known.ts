/**
 * The scale of a scan from lengths that were measured on the piece: corners or centres of circles in the picture, and how far
 * they really lie apart. A length L between points whose direction has the cosines (c, s) changes by
 * L (ex c^2 + ey s^2 + g c s) where the picture is stretched by ex across and ey down and leans by g.
 */

import type { Point } from '../geometry/point.js';
import { InputError } from '../job/messages.js';
import { chiSquareCdf } from '../numeric/distributions.js';
import { type Row, solve } from '../numeric/least-squares.js';
import { alongOutline, type Outline } from './edges/outline.js';
import type { KnownScale, Scan } from './scan.js';

export interface KnownLength {
  /** As typed, for messages. */
  readonly text: string;
  /** About where its ends lie, mm of the picture, y up. */
  readonly from: Point;
  readonly to: Point;
  /** What was measured, and its sd, mm. */
  readonly length: number;
  readonly sd: number;
}

/** An end is the corner or the centre nearest to what was typed, at most so far away, mm. */
const nearEnough = 2;
/** sd of a length of which nobody says how well it was measured, mm: a steel rule read by eye (common practice, no source). */
export const usualLengthSd = 0.1;

const form =
  /^\s*(-?[\d.]+)\s*,\s*(-?[\d.]+)\s+(-?[\d.]+)\s*,\s*(-?[\d.]+)\s*=\s*([\d.]+)\s*(?:\+-\s*([\d.]+)\s*)?$/;

/** @throws InputError for anything but "X1,Y1 X2,Y2 = LENGTH" or "X1,Y1 X2,Y2 = LENGTH +- SD" */
export const readKnownLength = (text: string): KnownLength => {
  const numbers = form
    .exec(text)
    ?.slice(1)
    .map((part) => (part === undefined ? usualLengthSd : Number(part)));
  const [x1, y1, x2, y2, length, sd] = numbers ?? [];
  const good = [x1, y1, x2, y2, length, sd].every(
    (v) => v !== undefined && Number.isFinite(v) && Math.abs(v) <= 1e5,
  );
  if (!good || !(length! > 0) || !(sd! > 0)) {
    throw new InputError({
      found: `--known "${text}"`,
      expected:
        'two places of the picture in mm, "=", the length between them in mm, and, if known, "+-" its sd',
      next: 'Write for example --known "12.5,40 262.5,40 = 250.12 +- 0.05".',
    });
  }
  return { text, from: { x: x1!, y: y1! }, to: { x: x2!, y: y2! }, length: length!, sd: sd! };
};

/** Corners and centres of circles of a scan, mm. */
const placesOf = (scan: Scan): { at: Point; variance: number }[] =>
  scan.edges.flatMap(({ outline }) => {
    const { unit } = scan;
    const centre = roundCentre(outline);
    if (outline.kind === 'chain' && centre !== undefined) {
      const variance = outline.variance.reduce((sum, v) => sum + v, 0) / outline.variance.length;
      return [{ at: { x: centre.x * unit, y: centre.y * unit }, variance: variance * unit * unit }];
    }
    if (outline.kind === 'circle')
      return [
        {
          at: { x: outline.centre.x * unit, y: outline.centre.y * unit },
          variance: outline.variance * unit * unit,
        },
      ];
    return [...outline.chain.x].map((x, k) => {
      const [xx, , yy] = outline.corner[k]!;
      return { at: { x: x * unit, y: outline.chain.y[k]! * unit }, variance: (unit * unit * (xx + yy)) / 2 };
    });
  });

/** 4 pi area / length^2 is 1 for a circle; of an oval whose axes differ by 3 % it is 0.9993. */
const leastRoundness = 0.999;

/** The middle of what is round but for the picture's own scales; undefined for anything else. */
const roundCentre = (outline: Outline): Point | undefined => {
  if (outline.kind === 'circle' || outline.chain.sides.some(({ kind }) => kind === 'line')) return undefined;
  const points = alongOutline(outline, 1);
  let twice = 0;
  let length = 0;
  let x = 0;
  let y = 0;
  points.forEach((p, i) => {
    const q = points[(i + 1) % points.length]!;
    const cross = p.x * q.y - q.x * p.y;
    twice += cross;
    x += (p.x + q.x) * cross;
    y += (p.y + q.y) * cross;
    length += Math.hypot(q.x - p.x, q.y - p.y);
  });
  if ((2 * Math.PI * Math.abs(twice)) / (length * length) < leastRoundness) return undefined;
  return { x: x / (3 * twice), y: y / (3 * twice) };
};

/** @throws InputError where an end has no corner or centre near it, or the lengths contradict one another */
export const knownScale = (scan: Scan, lengths: readonly KnownLength[], file: string): KnownScale => {
  const places = placesOf(scan);
  const found = lengths.map((one) => {
    const nearest = (p: Point) => {
      const away = (at: Point): number => Math.hypot(at.x - p.x, at.y - p.y);
      const best = places.reduce((a, b) => (away(b.at) < away(a.at) ? b : a));
      if (away(best.at) <= nearEnough) return best;
      throw new InputError({
        found: `no corner and no centre of a circle within ${nearEnough} mm of ${p.x},${p.y}`,
        expected: 'the ends of a known length there',
        where: { file },
        next: `The nearest is at ${best.at.x.toFixed(2)},${best.at.y.toFixed(2)}; "reseat list" and --picture show where things lie, from the lower left corner.`,
      });
    };
    const from = nearest(one.from);
    const to = nearest(one.to);
    const dx = to.at.x - from.at.x;
    const dy = to.at.y - from.at.y;
    const inPicture = Math.hypot(dx, dy);
    if (inPicture === 0) {
      throw new InputError({
        found: `--known "${one.text}", of which both ends are the same place`,
        expected: 'two places',
        where: { file },
        next: 'Correct the places.',
      });
    }
    const c = dx / inPicture;
    const s = dy / inPicture;
    const sd = Math.hypot(one.sd, Math.sqrt(from.variance + to.variance));
    return { one, from: from.at, to: to.at, inPicture, c, s, sd };
  });
  const rowsFor = (unknowns: 1 | 2 | 3): Row[] =>
    found.map(({ one, inPicture, c, s, sd }) => ({
      design: [
        [inPicture],
        [inPicture * c * c, inPicture * s * s],
        [inPicture * c * c, inPicture * s * s, inPicture * c * s],
      ][unknowns - 1]!,
      observed: one.length - inPicture,
      sd,
    }));
  const single = solve(rowsFor(1), 1);
  if (!single.ok) throw new RangeError('lengths without length');
  let unknowns: 1 | 2 | 3 = 1;
  let solved = single;
  for (const richer of [2, 3] as const) {
    if (found.length < richer) break;
    const next = solve(rowsFor(richer), richer);
    // Unknowns that the lengths hardly tell are better taken from what they do tell.
    const worst = next.ok
      ? Math.sqrt(Math.max(...next.cofactor.map((row, i) => row[i]!)))
      : Number.POSITIVE_INFINITY;
    if (!next.ok || worst > mostSpread * Math.sqrt(single.cofactor[0]![0]!)) break;
    unknowns = richer;
    solved = next;
  }
  const at = (i: number): number => (unknowns === 1 ? 0 : i);
  const sdOf = (i: number): number => Math.sqrt(solved.cofactor[i]![i]!);
  const result: KnownScale = {
    x: solved.solution[0]!,
    y: solved.solution[at(1)]!,
    lean: unknowns === 3 ? solved.solution[2]! : 0,
    sd: { x: sdOf(0), y: sdOf(at(1)), lean: unknowns === 3 ? sdOf(2) : 0 },
    unknowns,
    redundancy: solved.redundancy,
    ...(solved.redundancy === 0
      ? {}
      : { pValue: 1 - chiSquareCdf(solved.weightedSquares, solved.redundancy) }),
    lengths: found.map(({ one, from, to, inPicture }, i) => ({
      text: one.text,
      from,
      to,
      measured: one.length,
      inPicture,
      residual: solved.residuals[i]!,
    })),
  };
  refuseUnlikely(result, file);
  return result;
};

/** A scale that is known so many times worse than one for both axes is not asked for. */
const mostSpread = 6;
/** No scanner is farther off; what is was typed wrongly, or --dpi is wrong. */
const mostStretch = 0.03;
const leastChance = 0.001;

const refuseUnlikely = ({ x, y, pValue, lengths }: KnownScale, file: string): void => {
  const worst = [...lengths].sort((a, b) => Math.abs(b.residual) - Math.abs(a.residual))[0]!;
  if (pValue !== undefined && pValue < leastChance) {
    throw new InputError({
      found: `known lengths that contradict one another: "${worst.text}" by ${Math.abs(worst.residual).toFixed(3)} mm more than they allow`,
      expected: 'lengths that one scale explains',
      where: { file },
      next: 'Measure that one again, or say how well it is known, as in "... = 250.1 +- 0.3".',
    });
  }
  const most = Math.max(Math.abs(x), Math.abs(y));
  if (most > mostStretch) {
    throw new InputError({
      found: `known lengths that differ from the picture by ${(100 * most).toFixed(1)} % ("${worst.text}": ${worst.inPicture.toFixed(2)} mm in the picture)`,
      expected: 'a difference of a few parts in a thousand',
      where: { file },
      next: 'Check the places and the length, or the density (--dpi).',
    });
  }
};
