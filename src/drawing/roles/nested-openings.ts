/**
 * Openings drawn inside others: taken for islands that stay standing, which may be right or a slip.
 */
import { nestingOf, ringOfPath } from '../../geometry/rings/nesting.js';
import { boxOfPath, sizeOfPath } from '../../geometry/stored-path.js';
import { type Roles, roleWords } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import type { Shape } from '../model/drawing.js';
import { closedCount, labelsNow, pathAt, transientPaths } from '../model/shape-store.js';
import type { RoleAssignment } from './roles.js';

/**
 * So many openings are searched: no part that is cut has more, and a list of more should not take a
 * third longer for it.
 */
const mostSearched = 200_000;

/**
 * One warning for all openings that are islands of another shape's opening. Rings of one shape say
 * by themselves that an island is meant; so does a name under roles that reaches the inner shape
 * and not the one round it.
 */
export const nestedOpenings = ({
  openings,
  selectors,
  areApart,
}: Pick<RoleAssignment, 'openings' | 'selectors' | 'areApart'>): Warning[] => {
  if (openings.length > mostSearched) {
    const message = `${openings.length} openings are too many to look for such as lie inside others; those would be taken for islands of material that stay standing.`;
    return [{ code: 'openings-unsearched', message }];
  }
  if (areApart) return [];
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
  /** The one that it is an island of: geometry/rings/nesting.ts. */
  readonly round: Shape;
}

/**
 * Columns, for a drawing may have a million rings: whose each is, which of its paths, and its box.
 */
const ringsOf = (openings: readonly Shape[]) => {
  let most = 0;
  for (const shape of openings) most += closedCount(shape);
  const shapes = new Int32Array(most);
  const places = new Int32Array(most);
  const boxes = new Float64Array(4 * most);
  let used = 0;
  for (let number = 0; number < openings.length; number += 1) {
    const paths = transientPaths(openings[number]!);
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

const islandsIn = (openings: readonly Shape[]): Nested[] => {
  const { count, shapes, places, boxes } = ringsOf(openings);
  if (openings.length < 2 || count < 2) return [];
  const ringAt = (i: number) => ringOfPath(pathAt(openings[shapes[i]!]!, places[i]!));
  const nesting = nestingOf({ count, boxes, ringAt });
  const found = new Map<number, number>();
  for (let k = 0; k < count; k += 1) {
    const round = nesting.islandOf(k);
    if (round === undefined || shapes[round] === shapes[k]) continue;
    if (!found.has(shapes[k]!)) found.set(shapes[k]!, shapes[round]!);
  }
  return [...found]
    .sort(([one], [other]) => one - other)
    .map(([island, round]) => ({ island: openings[island]!, round: openings[round]! }));
};

const isMeant = (island: Shape, round: Shape, { openings, stated }: Roles): boolean => {
  if (!stated.openings) return false;
  const namesOf = (shape: Shape): Set<string> =>
    new Set([shape.id, ...labelsNow(shape), ...shape.layers].map((name) => name.toLowerCase()));
  const own = namesOf(island);
  const others = namesOf(round);
  return openings.some(({ text }) => own.has(text.toLowerCase()) && !others.has(text.toLowerCase()));
};
