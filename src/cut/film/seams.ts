/**
 * Where strips of film meet: seams across one axis, placed by dynamic programming.
 *
 *     |<------ strip 1 ------>|
 *     from        seam 1  [s, s + overlap]
 *                      |<------ strip 2 ------>|          each at most `width`, together from `from` to `to`
 *
 * Wanted, in this order: as few strips as cover the panel; as few openings crossed as possible, an opening under two
 * seams counting twice; then the smallest distance from a seam to the end of an opening as large as possible (the
 * widest land, and its middle); then the sum of those distances. The result is exact for these wishes, to 1e-6 mm.
 *
 * Why candidates suffice: on a stretch between two ends of openings crossings are constant and distances linear, so an
 * optimum is at a corner of the constraints; there every seam stands at such an end (moved by the distance asked for),
 * in the middle between two of them, at a bound, or a smallest or largest pitch away from a seam that does.
 */

/** An opening across the strips, mm; the film is gone between its ends. */
export interface Obstacle {
  readonly low: number;
  readonly high: number;
}

export interface SeamInput {
  /** What has to be covered, mm. */
  readonly from: number;
  readonly to: number;
  /** Of the film. */
  readonly width: number;
  /** At most a quarter of the width. */
  readonly overlap: number;
  readonly obstacles: readonly Obstacle[];
}

export interface Seam {
  /** Where the next strip begins; the one before it ends an overlap farther. */
  readonly at: number;
  /** Indices of the obstacles that reach into the seam. */
  readonly crosses: readonly number[];
  /** To the nearest end of an opening or of the panel, mm; 0 where one lies within the seam. */
  readonly distance: number;
}

/** Too near to tell apart, mm. */
const hair = 1e-7;
/** No strip is narrower than this share of the film, for narrow ones are hard to lay straight; our own choice. */
const narrowest = 1 / 4;

/** The fewest strips that cover a length. */
export const stripsNeeded = ({ from, to, width, overlap }: Omit<SeamInput, 'obstacles'>): number =>
  Math.max(1, Math.ceil((to - from - overlap - hair) / (width - overlap)));

/** Where the seams go; none where one strip is enough. Throws RangeError for an overlap that no strips can have. */
export const placeSeams = (input: SeamInput): Seam[] => {
  const { width, overlap, from, to, obstacles } = input;
  if (!(width > 0 && overlap >= 0 && overlap <= width * narrowest && Number.isFinite(to - from)))
    throw new RangeError(`strips of ${width} mm with an overlap of ${overlap} mm from ${from} to ${to}`);
  const seams = stripsNeeded(input) - 1;
  if (seams === 0) return [];
  const field = fieldOf(input);
  const rules = rulesOf(input, seams);

  const fewest = bestChain(candidates(field.ends, rules, overlap, 0), rules, (s) => ({
    crossings: field.crossings(s),
    distance: 0,
  }))!;
  const keeping = (least: number, middles: readonly number[], count: boolean) =>
    bestChain(candidates(field.ends, rules, overlap, least, middles), rules, (s) => {
      const distance = field.distance(s);
      if (distance < least - hair) return undefined;
      return { crossings: field.crossings(s), distance: count ? distance : 0 };
    });
  let least = 0;
  let most = field.largestDistance;
  // Halved until neither end is told from the other.
  while (most - least > hair) {
    const middle = (least + most) / 2;
    const chain = keeping(middle, [], false);
    if (chain !== undefined && chain.crossings === fewest.crossings) least = middle;
    else most = middle;
  }
  const chain = keeping(least, field.middles, true) ?? fewest;
  return chain.positions.map((at) => ({
    at,
    crosses: obstacles.flatMap((o, i) => (o.low < at + overlap - hair && o.high > at + hair ? [i] : [])),
    distance: field.distance(at),
  }));
};

/** What a seam at a place meets. */
interface Field {
  /** Ends of obstacles and of the panel, rising. */
  readonly ends: Float64Array;
  /** Where a seam lies midway between two ends. */
  readonly middles: readonly number[];
  readonly largestDistance: number;
  readonly crossings: (s: number) => number;
  readonly distance: (s: number) => number;
}

const fieldOf = ({ from, to, overlap, obstacles }: SeamInput): Field => {
  const lows = Float64Array.from(obstacles, (o) => o.low).sort();
  const highs = Float64Array.from(obstacles, (o) => o.high).sort();
  const ends = Float64Array.from([from, to, ...lows, ...highs].filter((e) => e >= from && e <= to)).sort();
  const middles: number[] = [];
  let largestDistance = 0;
  for (let i = 1; i < ends.length; i++) {
    const room = ends[i]! - ends[i - 1]! - overlap;
    if (room <= 0) continue;
    middles.push(ends[i - 1]! + room / 2);
    largestDistance = Math.max(largestDistance, room / 2);
  }
  return {
    ends,
    middles,
    largestDistance,
    // Every obstacle that begins before the seam ends, less those that have ended before it begins.
    crossings: (s) => countBelow(lows, s + overlap - hair) - countBelow(highs, s + hair),
    distance: (s) => {
      const before = countBelow(ends, s + hair);
      const below = s - (ends[before - 1] ?? Number.NEGATIVE_INFINITY);
      const above = (ends[before] ?? Number.POSITIVE_INFINITY) - s - overlap;
      return Math.max(0, Math.min(below, above));
    },
  };
};

/** How many of the rising values lie below `limit`. */
const countBelow = (values: Float64Array, limit: number): number => {
  let low = 0;
  let high = values.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (values[middle]! < limit) low = middle + 1;
    else high = middle;
  }
  return low;
};

/** Where each seam may lie, and how far it may lie from the one before it. */
interface Rules {
  readonly pitch: readonly [least: number, most: number];
  readonly ranges: readonly (readonly [low: number, high: number])[];
}

const rulesOf = ({ from, to, width, overlap }: SeamInput, seams: number): Rules => {
  const thin = narrowest * width;
  // Nowhere do three strips lie on one another.
  const pitch = [Math.max(overlap, thin - overlap), width - overlap] as const;
  const first = [from + Math.max(0, thin - overlap), from + width - overlap] as const;
  const last = [to - width, to - thin] as const;
  const ranges = Array.from({ length: seams }, (_, i) => {
    const [before, after] = [i, seams - 1 - i];
    return [
      Math.max(first[0] + before * pitch[0], last[0] - after * pitch[1]),
      Math.min(first[1] + before * pitch[1], last[1] - after * pitch[0]),
    ] as const;
  });
  return { pitch, ranges };
};

/** For each seam the places among which the best one is, rising; `distance` is what seams keep from every end. */
const candidates = (
  ends: Float64Array,
  { pitch, ranges }: Rules,
  overlap: number,
  distance: number,
  middles: readonly number[] = [],
): number[][] => {
  const within = (i: number, values: readonly number[]): number[] => {
    const [low, high] = ranges[i]!;
    return values.filter((s) => s >= low - hair && s <= high + hair);
  };
  const places = [...middles];
  for (const end of ends) places.push(end + distance, end - overlap - distance);
  const own = ranges.map((range, i) => within(i, [...places, ...range]));
  const carried = (order: readonly number[], sign: 1 | -1): number[][] => {
    const sets: number[][] = [];
    let before: readonly number[] = [];
    for (const i of order) {
      const moved = before.flatMap((s) => pitch.map((by) => s + sign * by));
      before = distinct([...own[i]!, ...within(i, moved)]);
      sets[i] = [...before];
    }
    return sets;
  };
  const order = ranges.map((_, i) => i);
  const up = carried(order, 1);
  const down = carried(order.toReversed(), -1);
  return order.map((i) => distinct([...up[i]!, ...down[i]!]));
};

const distinct = (values: number[]): number[] => {
  values.sort((a, b) => a - b);
  return values.filter((s, i) => i === 0 || s - values[i - 1]! > hair / 1000);
};

interface Rating {
  readonly crossings: number;
  readonly distance: number;
}

interface Link extends Rating {
  readonly at: number;
  readonly before?: Link;
}

const isBetter = (a: Rating, b: Rating): boolean =>
  a.crossings !== b.crossings ? a.crossings < b.crossings : a.distance > b.distance;

/**
 * One place for each seam: fewest crossings, then the largest sum of distances. A queue of the best so far slides
 * along with the pitch, so the work is linear in the number of candidates.
 */
const bestChain = (
  places: readonly (readonly number[])[],
  { pitch: [least, most] }: Rules,
  rate: (s: number) => Rating | undefined,
): (Rating & { readonly positions: readonly number[] }) | undefined => {
  let links: Link[] = [];
  places.forEach((own, seam) => {
    const next: Link[] = [];
    const queue: Link[] = [];
    let head = 0;
    let taken = 0;
    for (const at of own) {
      const rating = rate(at);
      for (; taken < links.length && links[taken]!.at <= at - least + hair; taken++) {
        while (queue.length > head && !isBetter(queue[queue.length - 1]!, links[taken]!)) queue.pop();
        queue.push(links[taken]!);
      }
      while (head < queue.length && queue[head]!.at < at - most - hair) head++;
      if (rating === undefined) continue;
      if (seam === 0) next.push({ at, ...rating });
      else if (head < queue.length) {
        const before = queue[head]!;
        const crossings = before.crossings + rating.crossings;
        next.push({ at, crossings, distance: before.distance + rating.distance, before });
      }
    }
    links = next;
  });
  const [first, ...rest] = links;
  if (first === undefined) return undefined;
  const best = rest.reduce((a, b) => (isBetter(b, a) ? b : a), first);
  const positions: number[] = [];
  for (let link: Link | undefined = best; link !== undefined; link = link.before) positions.unshift(link.at);
  return { crossings: best.crossings, distance: best.distance, positions };
};
