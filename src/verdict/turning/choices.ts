/** Which vertices of the bounds are tried: those that bring some row nearest. */

import { boxCentre, type Point } from '../../geometry/point.js';
import { edgeBox } from '../edges/edge.js';
import { angleNumber } from '../edges/edge-index.js';
import { type Displacement, displacedBy } from '../risk/displacement.js';
import { alongNormal, type Bounded } from '../risk/vertices.js';
import type { Row, Rows } from './rows.js';

/** So many vertices are tried. */
const mostVertices = 8;
/** Directions told apart in each quadrant. */
const directions = 2;
const wholeDirections = 16;

/** A choice of signs for the bounds there are, for those that grow, and one direction for shifts to any side. */
export interface Choice {
  readonly signs: readonly number[];
  readonly growing: readonly number[];
  readonly x: number;
  readonly y: number;
}

/** What is bounded, and how far the bounds grow with each unit of a figure. */
export interface Bounds {
  readonly bounded: Bounded;
  readonly perUnit: Bounded;
}

/** What the rows that keep the fewest sds ask for, the nearest first. */
export const choicesOf = (rows: readonly Row[], { bounded, perUnit }: Bounds, all: Rows): Choice[] => {
  const towardsAny = bounded.anyDirection + perUnit.anyDirection > 0;
  const found = new Map<string, Choice>();
  const generators = [...bounded.generators, ...perUnit.generators];
  let keyBefore: string | undefined;
  for (const { points, i } of rows) {
    const x = towardsAny ? points.normalX[i]! : 0;
    const y = towardsAny ? points.normalY[i]! : 0;
    let key = '';
    for (const generator of generators) key += alongNormal(generator, points, i) >= 0 ? '+' : '-';
    if (towardsAny) key += Math.floor(directions * angleNumber(x, y));
    if (key === keyBefore) continue;
    keyBefore = key;
    if (found.has(key)) continue;
    const signs = generators.map((_, k) => (key[k] === '+' ? 1 : -1));
    const own = bounded.generators.length;
    found.set(key, { signs: signs.slice(0, own), growing: signs.slice(own), x, y });
    if (found.size === mostVertices) break;
  }
  const nearest = rows[0];
  if (nearest !== undefined && generators.length > 2)
    for (const choice of wholeMoves(nearest, all.edgeOf(nearest), { bounded, perUnit }, towardsAny)) {
      const signs = [...choice.signs, ...choice.growing].map((sign) => (sign > 0 ? '+' : '-')).join('');
      const key = towardsAny ? `${signs} ${choice.x.toFixed(2)}` : signs;
      if (!found.has(key)) found.set(key, choice);
    }
  return [...found.values()];
};

/** The vertices that move the middle of an edge farthest, each towards some side: it may be touched on two sides there. */
const wholeMoves = (
  { points }: Row,
  [start, end]: readonly [start: number, end: number],
  { bounded, perUnit }: Bounds,
  towardsAny: boolean,
): Choice[] => {
  const middle = boxCentre(edgeBox(points, start, end));
  const moves = (generators: readonly Displacement[]) => generators.map((one) => displacedBy(one, middle));
  const [own, growing] = [moves(bounded.generators), moves(perUnit.generators)];
  return Array.from({ length: wholeDirections }, (_, k): Choice => {
    const angle = (2 * Math.PI * (k + 0.5)) / wholeDirections;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    const sign = ({ x, y }: Point): number => (c * x + s * y >= 0 ? 1 : -1);
    return { signs: own.map(sign), growing: growing.map(sign), x: towardsAny ? c : 0, y: towardsAny ? s : 0 };
  });
};
