/** Film in strips, as text and as JSON. */
import type { FilmPlan } from '../cut/film/film.js';
import type { Point } from '../geometry/point.js';
import { type Pair, pair } from './json/fit-json.js';
import { type Column, counted, fixed, table, wrapped } from './text/layout.js';

/**
 * The edge that a strip is laid by: the first one by its far edge, for before it there is only the
 * panel's edge.
 */
const layingEdge = ({ strips }: FilmPlan, index: number): { at: number; ends: [Point, Point] } => {
  const { from, to, corners } = strips[index]!;
  return index === 0 && strips.length > 1
    ? { at: to, ends: [corners[3], corners[2]] }
    : { at: from, ends: [corners[0], corners[1]] };
};

/** On which side of its edge a strip lies, by the column `from` and `to`. */
const sideLines = (plan: FilmPlan): string[] => {
  const across = plan.direction === 'x' ? 'y' : 'x';
  if (plan.strips.length === 1)
    return wrapped(`The strip lies on the side of larger ${across} of its edge.`, '  ');
  const rest = plan.strips.length === 2 ? 'Strip 2 lies' : `Strips 2 to ${plan.strips.length} lie`;
  return wrapped(
    `Strip 1 lies on the side of smaller ${across} of its edge. ${rest} on the side of larger ${across}.`,
    '  ',
  );
};

export const filmLines = (plan: FilmPlan): string[] => {
  const { direction, width, overlap, strips, seams, length } = plan;
  const across = direction === 'x' ? 'y' : 'x';
  const crossed = [...new Set(seams.flatMap((seam) => seam.crosses))];
  const closest = Math.min(...seams.map((seam) => seam.distance));
  const told =
    seams.length === 0
      ? 'one strip covers the panel'
      : crossed.length > 0
        ? `seams cross ${counted(crossed.length, 'opening')}, named below`
        : `no seam crosses an opening, the closest passes ${fixed(closest, 1)} mm from one`;
  const columns: readonly Column[] = [
    { title: 'strip', align: 'right' },
    { title: `from ${across}`, align: 'right' },
    { title: `to ${across}`, align: 'right' },
    { title: 'length', align: 'right' },
    { title: 'lay edge', align: 'right' },
    { title: 'from x', align: 'right' },
    { title: 'y', align: 'right' },
    { title: 'to x', align: 'right' },
    { title: 'y', align: 'right' },
  ];
  const rows = strips.map(({ from, to, length: own }, i) => {
    const { at, ends } = layingEdge(plan, i);
    const shown = ends.flatMap((p) => [fixed(p.x, 1), fixed(p.y, 1)]);
    return [
      String(i + 1),
      fixed(from, 1),
      fixed(to, 1),
      fixed(own, 0),
      `${across} ${fixed(at, 1)}`,
      ...shown,
    ];
  });
  return [
    '',
    ...wrapped(
      `Film: ${counted(strips.length, 'strip')} of ${width} mm along ${direction} of the drawing, overlap ${overlap} mm, ${fixed(length / 1000, 2)} m in all; ${told}.`,
    ),
    ...table(columns, rows),
    `  ${across} as in the drawing; the last four on the display, under the pointer.`,
    ...sideLines(plan),
  ];
};

interface AcrossJson {
  /** Design coordinates across the strips. */
  from: number;
  to: number;
  /** Display coordinates under the pointer: along `from`, then back along `to`. */
  corners: Pair[];
}

export interface FilmJson {
  direction: 'x' | 'y';
  width: number;
  overlap: number;
  length: number;
  strips: (AcrossJson & { width: number; length: number })[];
  seams: (AcrossJson & { crosses: string[]; distance: number })[];
}

export const filmJson = ({ direction, width, overlap, length, strips, seams }: FilmPlan): FilmJson => ({
  direction,
  width,
  overlap,
  length,
  strips: strips.map((strip) => ({
    from: strip.from,
    to: strip.to,
    width: strip.width,
    length: strip.length,
    corners: strip.corners.map(pair),
  })),
  seams: seams.map((seam) => ({
    from: seam.from,
    to: seam.to,
    crosses: [...seam.crosses],
    distance: seam.distance,
    corners: seam.corners.map(pair),
  })),
});
