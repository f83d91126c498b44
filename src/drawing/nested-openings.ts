/** Openings drawn inside others: taken for islands that stay standing, which may be right or a slip. */
import Flatbush from 'flatbush';
import { boxHolders, boxSize, holdsBox } from '../geometry/box-holders.js';
import { type Path, positionAt, type Segment } from '../geometry/curve.js';
import { InsidePath } from '../geometry/inside-path.js';
import type { Point } from '../geometry/point.js';
import { boxOfPath, segmentsNow, sizeOfPath } from '../geometry/stored-path.js';
import { type Roles, roleWords } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import type { Shape } from './drawing.js';
import type { RoleAssignment } from './roles.js';
import { closedCount, glimpse, labelsNow, pathAt } from './shape-store.js';

/** So many openings are searched: no part that is cut has more, and a list of more should not take a third longer for it. */
const mostSearched = 200_000;

/** How near to the curve nesting is decided, mm. */
const tolerance = 0.01;

/**
 * One warning for all openings that are islands of another shape's opening. Rings of one shape say by themselves that an
 * island is meant; so does a name under roles that reaches the inner shape and not the one round it.
 */
export const nestedOpenings = ({
  openings,
  selectors,
}: Pick<RoleAssignment, 'openings' | 'selectors'>): Warning[] => {
  if (openings.length > mostSearched) {
    const message = `${openings.length} openings are too many to look for such as lie inside others; those would be taken for islands of material that stay standing.`;
    return [{ code: 'openings-unsearched', message }];
  }
  const nested = islandsIn(openings).filter(({ island, round }) => !isMeant(island, round, selectors));
  const [first] = nested;
  if (first === undefined) return [];
  const { island, round } = first;
  const one = nested.length === 1;
  const which = one ? `${island.id}, in ${round.id}` : `the first of them ${island.id}, in ${round.id}`;
  const entries = [...(selectors.stated.openings ? selectors.openings : []), { text: `not ${island.id}` }];
  return [
    {
      code: 'opening-in-opening',
      message: `${one ? '1 opening lies inside another one and is' : `${nested.length} openings lie inside other ones and are`} taken for ${one ? 'an island' : 'islands'} of material that ${one ? 'stays' : 'stay'} standing: ${which}. If that is not meant, leave ${one ? 'it' : 'them'} out, as in roles: {openings: ${roleWords(entries)}}.`,
    },
  ];
};

/** The openings that are islands of others: what they enclose is material. */
export const islandsAmong = (openings: readonly Shape[]): ReadonlySet<Shape> =>
  new Set(openings.length > mostSearched ? [] : islandsIn(openings).map(({ island }) => island));

interface Nested {
  readonly island: Shape;
  /** The one with the smallest ring round it. */
  readonly round: Shape;
}

/** Columns, for a drawing may have a million rings: whose each is, which of its paths, and its box. */
const ringsOf = (openings: readonly Shape[]) => {
  let most = 0;
  for (const shape of openings) most += closedCount(shape);
  const shapes = new Int32Array(most);
  const places = new Int32Array(most);
  const boxes = new Float64Array(4 * most);
  let used = 0;
  for (let number = 0; number < openings.length; number += 1) {
    const paths = glimpse(openings[number]!);
    for (let place = 0; place < paths.length; place += 1) {
      const path = paths[place]!;
      if (!path.closed || sizeOfPath(path) === 0) continue;
      const { minX, minY, maxX, maxY } = boxOfPath(path);
      shapes[used] = number;
      places[used] = place;
      boxes[4 * used] = minX;
      boxes[4 * used + 1] = minY;
      boxes[4 * used + 2] = maxX;
      boxes[4 * used + 3] = maxY;
      used += 1;
    }
  }
  return { count: used, shapes, places, boxes };
};

/** Of so few rings all are looked through: to find out which hold others would save nothing. */
const fewRings = 2000;

const islandsIn = (openings: readonly Shape[]): Nested[] => {
  const { count, shapes, places, boxes } = ringsOf(openings);
  if (openings.length < 2 || count < 2) return [];
  const all = () => Int32Array.from({ length: count }, (_, i) => i);
  const holders = count <= fewRings ? all() : boxHolders(boxes, count);
  if (holders.length === 0) return [];
  const index = new Flatbush(holders.length);
  for (const i of holders) {
    index.add(boxes[4 * i]!, boxes[4 * i + 1]!, boxes[4 * i + 2]!, boxes[4 * i + 3]!);
  }
  index.finish();
  /** The rings whose boxes hold that of another one. */
  const boxesRound = (k: number): number[] => {
    const x = (boxes[4 * k]! + boxes[4 * k + 2]!) / 2;
    const y = (boxes[4 * k + 1]! + boxes[4 * k + 3]!) / 2;
    return index.search(x, y, x, y, (at) => holdsBox(boxes, holders[at]!, k)).map((at) => holders[at]!);
  };
  const sizeOf = (i: number): number => boxSize(boxes, i);
  const pathOf = (i: number): Path => pathAt(openings[shapes[i]!]!, places[i]!);
  const insides = new Map<number, InsidePath>();
  const insideOf = (i: number): InsidePath => {
    const inside = insides.get(i) ?? new InsidePath(pathOf(i), tolerance);
    insides.set(i, inside);
    return inside;
  };
  /** The smallest ring that holds another one; rings that cross hold no one another. */
  const smallestRound = (k: number): number | undefined => {
    const wider = boxesRound(k);
    if (wider.length === 0) return undefined;
    const witnesses = witnessesOf(segmentsNow(pathOf(k)));
    const isRound = (i: number): boolean => witnesses.filter((p) => insideOf(i).has(p)).length >= 2;
    // Mostly the first one is it, so they are not sorted.
    while (wider.length > 0) {
      let least = 0;
      for (let j = 1; j < wider.length; j += 1) if (sizeOf(wider[j]!) < sizeOf(wider[least]!)) least = j;
      const i = wider[least]!;
      if (isRound(i)) return i;
      wider[least] = wider[wider.length - 1]!;
      wider.pop();
    }
    return undefined;
  };
  const rounds = new Int32Array(count);
  const held: number[] = [];
  for (let k = 0; k < count; k += 1) {
    const round = smallestRound(k);
    if (round === undefined) continue;
    rounds[k] = round;
    held.push(k);
  }
  const depths = new Int32Array(count);
  const found = new Map<number, number>();
  for (const k of held.sort((i, k) => sizeOf(k) - sizeOf(i))) {
    const round = rounds[k]!;
    depths[k] = depths[round]! + 1;
    const isIsland = depths[k] % 2 === 1 && shapes[round] !== shapes[k];
    if (isIsland && !found.has(shapes[k]!)) found.set(shapes[k]!, shapes[round]!);
  }
  return [...found]
    .sort(([one], [other]) => one - other)
    .map(([island, round]) => ({ island: openings[island]!, round: openings[round]! }));
};

/** Three points along a path: where rings touch, two of them decide. */
const witnessesOf = (segments: readonly Segment[]): Point[] =>
  [0.1, 0.45, 0.8].map((part) => {
    const at = part * segments.length;
    return positionAt(segments[Math.floor(at)]!, at % 1);
  });

const isMeant = (island: Shape, round: Shape, { openings, stated }: Roles): boolean => {
  if (!stated.openings) return false;
  const namesOf = (shape: Shape): Set<string> =>
    new Set([shape.id, ...labelsNow(shape), ...shape.layers].map((name) => name.toLowerCase()));
  const own = namesOf(island);
  const others = namesOf(round);
  return openings.some(({ text }) => own.has(text.toLowerCase()) && !others.has(text.toLowerCase()));
};
