/**
 * Patterns of places that leave the worst opening the least needed clearance.
 *
 * Exchange search: from several starts one place after the other is exchanged for the best of all others until no
 * exchange helps, in the first round two at a time too; the best are moved over the free land by ever smaller steps.
 * All this by the spread (spread.ts). What it finds is judged by its needed clearance (comparison.ts), and the next
 * round goes by the ratios found there.
 */
import { distance } from '../geometry/point.js';
import type { RandomSource } from '../numeric/random.js';
import type { Compared, Comparison } from './judge/comparison.js';
import type { Place } from './places/place.js';

export interface SearchInput {
  readonly places: readonly Place[];
  /** Places in a pattern. */
  readonly count: number;
  /** Least distance between two of them, mm. */
  readonly spacing: number;
  readonly comparison: Comparison;
  /** A pattern whose ratios the first round goes by; undefined: that of the first start. */
  readonly like?: Compared;
  /** False for patterns that could be mistaken for themselves turned or mirrored. */
  readonly isDistinct: (pattern: readonly Place[]) => boolean;
  /** Patterns to start from beside random ones; shorter ones are filled up. */
  readonly starts: readonly (readonly Place[])[];
  /** Places beside one of the land, a step away; none for a place that cannot be moved. */
  readonly beside: (place: Place, step: number) => readonly Place[];
  /** mm, descending. */
  readonly steps: readonly number[];
  readonly random: RandomSource;
}

/** A place with what it adds to the information matrix. */
interface Item {
  readonly place: Place;
  readonly own: Float64Array;
}

interface Pattern {
  readonly items: readonly Item[];
  /** By the spread, mm. */
  readonly needed: number;
}

/** Weighs a pattern by its information: infinity where that reaches `bound`. */
type Weigh = (sum: Float64Array, pattern: readonly Item[], bound: number) => number;

const randomStarts = 5;
const rounds = [0, 1, 2] as const;
type Round = (typeof rounds)[number];
/** Times that two places of the best are thrown elsewhere to start from there, in each round. */
const kicks = [12, 3, 1] as const;
/** Patterns that are refined and judged in each round. */
const finalists = [5, 3, 2] as const;
/** By the spread, and how many of them are judged for each place of the best pattern. */
const nearlyAsGood = 1.06;
const triedEach = 3;
/** An exchange that brings less is none. */
const gain = 1 - 1e-7;
const mostExchanges = 60;

export interface Found {
  readonly places: readonly Place[];
  readonly compared: Compared;
  /** Patterns whose worst opening needs hardly more, the best one first. */
  readonly nearly: readonly (readonly Place[])[];
}

/** Patterns that are handed on beside the best, and how much more they may need. */
const mostNearly = 4;
const hardlyMore = 1.1;

/** The best pattern found; undefined where no allowed pattern determines the fit. */
export const bestPattern = (input: SearchInput): Found | undefined => {
  const { comparison, isDistinct } = input;
  const search = searcherFor(input);
  const first = input.like ?? firstPattern(input, search);
  if (first === undefined) return undefined;
  let like = first;
  let best: Omit<Found, 'nearly'> | undefined;
  const improved: Omit<Found, 'nearly'>[] = [];
  let starts: readonly (readonly Place[])[] = [...input.starts, ...Array<Place[]>(randomStarts).fill([])];
  const seen = new Set<string>();
  for (const round of rounds) {
    const spread = comparison.spreadLike(like);
    const weigh: Weigh = (sum, items, bound) => spread(sum, bound, items);
    const found = search.from(starts, weigh, round).map((places) => search.refined(places, weigh));
    const before = best;
    // What is there at the start is judged as well: no search may end in something worse.
    const beside = best === undefined ? [] : search.nextTo(best.places, weigh);
    for (const places of [...found, ...(round === 0 ? input.starts : beside)]) {
      const key = keyOf(places);
      if (places.length < input.count || seen.has(key) || !isDistinct(places)) continue;
      seen.add(key);
      const compared = comparison.judge(places, like, best?.compared.needed);
      if (compared === undefined) continue;
      best = { places, compared };
      improved.unshift(best);
      like = compared;
    }
    if (best === undefined || best === before) break;
    starts = [best.places, ...found];
  }
  if (best === undefined) return undefined;
  const most = hardlyMore * best.compared.needed;
  const nearly = improved.filter((each) => each.compared.needed <= most).slice(0, mostNearly);
  return { ...best, nearly: nearly.map(({ places }) => places) };
};

/** A pattern that determines the fit, for its ratios; it need not be distinct. */
const firstPattern = ({ starts, comparison }: SearchInput, search: Searcher): Compared | undefined => {
  for (let attempt = 0; attempt < 100; attempt++) {
    const places = search.filledUp(starts[attempt] ?? []);
    const compared = places && comparison.judge(places);
    if (compared !== undefined) return compared;
  }
  return undefined;
};

const placesOf = (items: readonly Item[]): Place[] => items.map(({ place }) => place);

const byNeed = (a: Pattern, b: Pattern): number => a.needed - b.needed;

const keyOf = (places: readonly Place[]): string =>
  places
    .map(({ at, kind }) => `${kind} ${at.x} ${at.y}`)
    .sort()
    .join(' ');

interface Searcher {
  readonly filledUp: (start: readonly Place[]) => Place[] | undefined;
  /** The best few that exchanges lead to. */
  readonly from: (starts: readonly (readonly Place[])[], weigh: Weigh, round: Round) => (readonly Place[])[];
  /** With one place exchanged: those that are nearly as good by the spread, which may be better by the verdict. */
  readonly nextTo: (places: readonly Place[], weigh: Weigh) => (readonly Place[])[];
  readonly refined: (places: readonly Place[], weigh: Weigh) => readonly Place[];
}

const searcherFor = (input: SearchInput): Searcher => {
  const { count, spacing, random, beside, steps } = input;
  const itemOf = (place: Place): Item => ({ place, own: input.comparison.information(place) });
  const items = input.places.map(itemOf);
  const size = items[0]!.own.length;
  const total = new Float64Array(size);
  const both = new Float64Array(size);
  const apart = Math.max(spacing, 1e-6);

  /** Into `sum`, which is returned. */
  const plus = (others: Float64Array, { own }: Item, sum: Float64Array): Float64Array => {
    for (let i = 0; i < size; i++) sum[i] = others[i]! + own[i]!;
    return sum;
  };
  const summed = (pattern: readonly Item[], without: readonly number[] = []): Float64Array => {
    const sum = new Float64Array(size);
    pattern.forEach((item, i) => {
      if (!without.includes(i)) plus(sum, item, sum);
    });
    return sum;
  };
  const isApart = ({ place }: Item, others: readonly Item[], ...except: readonly number[]): boolean =>
    others.every((other, i) => except.includes(i) || distance(place.at, other.place.at) >= apart);
  const isDistinct = (pattern: readonly Item[]): boolean => input.isDistinct(placesOf(pattern));

  /** A start with as many places as are asked for, the missing ones at random; undefined where there is no room. */
  const filledUp = (start: readonly Item[]): Item[] | undefined => {
    if (!start.every((item, i) => isApart(item, start, i))) return undefined;
    for (let attempt = 0; attempt < 20; attempt++) {
      const pattern = start.slice(0, count);
      for (let tries = 0; pattern.length < count && tries < 50 * count; tries++) {
        const item = items[random.index(items.length)]!;
        if (isApart(item, pattern)) pattern.push(item);
      }
      for (const item of items) {
        if (pattern.length === count) break;
        if (isApart(item, pattern)) pattern.push(item);
      }
      if (pattern.length === count) return pattern;
    }
    return undefined;
  };

  /** With item `k` exchanged for the best of `candidates`; undefined where none is better than now. */
  const exchange = (
    now: Pattern,
    k: number,
    candidates: readonly Item[],
    weigh: Weigh,
  ): Pattern | undefined => {
    const others = summed(now.items, [k]);
    const trial = [...now.items];
    let best: Pattern | undefined;
    let limit = now.needed * gain;
    for (const candidate of candidates) {
      trial[k] = candidate;
      const needed = weigh(plus(others, candidate, total), trial, limit);
      if (needed < limit && isApart(candidate, trial, k) && isDistinct(trial)) {
        best = { items: [...trial], needed };
        limit = needed;
      }
    }
    return best;
  };

  /** Goes round the places until as many attempts in a row as there are places bring nothing. */
  const goRound = (start: Pattern, attempt: (now: Pattern, k: number) => Pattern | undefined): Pattern => {
    let current = start;
    for (let round = 0, idle = 0; idle < count && round < mostExchanges; round++) {
      const better = attempt(current, round % count);
      idle = better === undefined ? idle + 1 : 0;
      current = better ?? current;
    }
    return current;
  };

  const descend = (start: readonly Item[], weigh: Weigh): Pattern => {
    const needed = isDistinct(start)
      ? weigh(summed(start), start, Number.POSITIVE_INFINITY)
      : Number.POSITIVE_INFINITY;
    return goRound({ items: start, needed }, (now, k) => exchange(now, k, items, weigh));
  };

  /** Two places exchanged at once, for each pair of them as long as a pair is better. */
  const exchangePairs = (start: Pattern, weigh: Weigh): Pattern => {
    let current = start;
    for (let k = 0; k < count; k++) {
      for (let l = k + 1; l < count; l++) {
        const others = summed(current.items, [k, l]);
        const trial = [...current.items];
        for (let i = 0; i < items.length; i++) {
          const one = items[i]!;
          trial[k] = one;
          plus(others, one, both);
          for (let j = i + 1; j < items.length; j++) {
            const other = items[j]!;
            trial[l] = other;
            const limit = current.needed * gain;
            const needed = weigh(plus(both, other, total), trial, limit);
            if (!(needed < limit)) continue;
            if (isApart(one, trial, k) && isApart(other, trial, l) && isDistinct(trial))
              current = { items: [...trial], needed };
          }
        }
      }
    }
    return current;
  };

  const kicked = (pattern: readonly Item[]): Item[] | undefined => {
    const kept = [...pattern];
    for (let n = 0; n < Math.min(2, count - 1); n++) kept.splice(random.index(kept.length), 1);
    return filledUp(kept);
  };

  const from: Searcher['from'] = (starts, weigh, round) => {
    const most = finalists[round];
    const found = new Map<string, Pattern>();
    let best: Pattern | undefined;
    const tryFrom = (start: readonly Item[] | undefined): void => {
      const pattern = start && descend(start, weigh);
      if (pattern === undefined || pattern.needed === Number.POSITIVE_INFINITY) return;
      found.set(keyOf(placesOf(pattern.items)), pattern);
      if (pattern.needed < (best?.needed ?? Number.POSITIVE_INFINITY)) best = pattern;
    };
    for (const start of starts) tryFrom(filledUp(start.map(itemOf)));
    for (let n = 0; best !== undefined && n < kicks[round]; n++) tryFrom(kicked(best.items));
    if (best !== undefined && round === 0) tryFrom(exchangePairs(best, weigh).items);
    return [...found.values()]
      .sort(byNeed)
      .slice(0, most)
      .map((pattern) => placesOf(pattern.items));
  };

  const refined = (pattern: readonly Place[], weigh: Weigh): readonly Place[] => {
    let current = descend(pattern.map(itemOf), weigh);
    for (const step of steps)
      current = goRound(current, (now, k) =>
        exchange(now, k, beside(now.items[k]!.place, step).map(itemOf), weigh),
      );
    return placesOf(current.items);
  };
  const nextTo: Searcher['nextTo'] = (pattern, weigh) => {
    const now = pattern.map(itemOf);
    const bound = nearlyAsGood * weigh(summed(now), now, Number.POSITIVE_INFINITY);
    return now.flatMap((_, k) => {
      const others = summed(now, [k]);
      const near = items.flatMap((item): Pattern[] => {
        const trial = now.map((one, i) => (i === k ? item : one));
        const needed = weigh(plus(others, item, total), trial, bound);
        return needed < bound && isApart(item, trial, k) ? [{ items: trial, needed }] : [];
      });
      return near
        .sort(byNeed)
        .slice(0, triedEach)
        .map((one) => placesOf(one.items));
    });
  };
  const filledPlaces = (start: readonly Place[]): Place[] | undefined => {
    const filled = filledUp(start.map(itemOf));
    return filled && placesOf(filled);
  };
  return { filledUp: filledPlaces, from, nextTo, refined };
};
