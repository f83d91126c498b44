/** The places that a job offers for marks and touches. */
import { shapeBox } from '../../drawing/model/shape-store.js';
import { type Box, boxDiagonal, distance, joinBoxes, type Point } from '../../geometry/point.js';
import { whereInJob } from '../../job/job.js';
import { InputError, type Warning } from '../../job/messages.js';
import type { PlanInput } from '../plan-input.js';
import { choicesOf, type PlanChoices } from '../settings.js';
import { allowedPlaces } from './allowed.js';
import { featurePlaces } from './features.js';
import { freeLand, type Land } from './land.js';
import type { Place } from './place.js';
import { thinned } from './thin.js';

export interface Candidates {
  readonly choices: PlanChoices;
  /** Of the outline and the openings, where there is an outline. */
  readonly panel?: Box;
  readonly land: Land;
  /** A few hundred to choose from. */
  readonly places: readonly Place[];
  /** Marks that are there already, among `places`. */
  readonly drawn: readonly Place[];
  /** As many as there are in all. */
  readonly count: number;
  /** Places of the land beside one. */
  readonly beside: (place: Place, step: number) => Place[];
  /** A pattern of places far from each other, to start from. */
  readonly outermost: (count: number) => Place[];
  readonly warnings: readonly Warning[];
}

/** More do not lead to a better pattern, for those on the land are moved afterwards. */
const mostPlaces = 160;
/** Land is looked at in steps of this share of its diagonal, in smaller ones down to the grid where that finds little. */
const lookedAt = 1 / 72;

/** mm: marks this near to each other are one. */
const samePlace = 0.5;

/** So many places leave a choice. */
const worthTelling = 8;

/** @throws InputError where there are fewer than two */
export const candidatesFor = (input: PlanInput, openings: Box): Candidates => {
  const { job, drawing, roles, present } = input;
  const panel = roles.outline.map(shapeBox).reduce(joinBoxes, openings);
  const choices = choicesOf(job.plan, boxDiagonal(panel));
  const { allowed, fromOpenings, fromEdge, use } = choices;
  const given =
    allowed === undefined ? undefined : allowedPlaces(drawing, allowed, whereInJob(job, 'plan.allowed'));
  const landWith = (share: number): Land =>
    freeLand({
      openings: roles.openings,
      outline: roles.outline,
      ...(given === undefined ? {} : { within: given.areas }),
      fromOpenings: share * fromOpenings,
      fromEdge: share * fromEdge,
    });
  const land = landWith(1);
  const hasLand = use.includes('land') && (given === undefined || given.areas.length > 0);
  // New marks keep their distance from those that are there as from each other.
  const isApart = (at: Point, least: number): boolean =>
    present.size === 0 || [...present.values()].every((mark) => distance(at, mark) >= least);
  const free = hasLand ? freePlaces(land, choices.grid).filter((at) => isApart(at, choices.spacing)) : [];
  const drawn = hasLand || given !== undefined ? drawnPlaces(present) : [];
  const features = featurePlaces([...roles.openings, ...roles.outline], use);
  const fixed = [...(given?.spots ?? []).filter(({ at }) => isApart(at, samePlace)), ...features];
  const all: Place[] = [...free.map((at): Place => ({ kind: 'land', at })), ...fixed];
  const count = all.length + drawn.length;
  if (count < 2) throw tooFew(input, choices, count, landWith);
  const others = thinned(
    all.map((place) => place.at),
    mostPlaces,
  ).map((i) => all[i]!);
  const places = [...drawn, ...others];
  return {
    choices,
    ...(roles.outline.length === 0 ? {} : { panel }),
    land,
    places,
    drawn,
    count,
    beside: (place, step) =>
      place.kind === 'land'
        ? besides(place.at, step, land).filter(({ at }) => isApart(at, choices.spacing))
        : [],
    outermost: (count) => outermost(places, count),
    warnings: roles.outline.length > 0 || !hasLand ? [] : [withoutOutline],
  };
};

/** Each mark that is there once, whatever names it has. */
const drawnPlaces = (present: PlanInput['present']): Place[] => {
  const places: Place[] = [];
  for (const [mark, at] of present)
    if (places.every((other) => distance(other.at, at) >= samePlace))
      places.push({ kind: 'drawn', at, mark });
  return places;
};

/** In even steps that are multiples of the grid. */
const freePlaces = (land: Land, grid: number): Point[] => {
  const { minX, minY, maxX, maxY } = land.box;
  if (minX > maxX || minY > maxY) return [];
  let times = Math.max(1, Math.floor((lookedAt * boxDiagonal(land.box)) / grid));
  for (;;) {
    const found = land.placesEvery(times * grid);
    if (found.length >= 2 * mostPlaces || times === 1) return found;
    times = Math.floor(times / 2);
  }
};

const besides = (at: Point, step: number, land: Land): Place[] =>
  eightWays
    .map(([i, j]) => ({ x: rounded(at.x + i * step), y: rounded(at.y + j * step) }))
    .filter(land.isFree)
    .map((p) => ({ kind: 'land', at: p }));

const eightWays = [
  [1, 0],
  [1, 1],
  [0, 1],
  [-1, 1],
  [-1, 0],
  [-1, -1],
  [0, -1],
  [1, -1],
] as const;

const rounded = (value: number): number => Math.round(value * 1e6) / 1e6;

/** Each the farthest from those before it, the first the farthest from all. */
const outermost = (places: readonly Place[], count: number): Place[] => {
  let x = 0;
  let y = 0;
  for (const { at } of places) {
    x += at.x / places.length;
    y += at.y / places.length;
  }
  const chosen: Place[] = [];
  while (chosen.length < Math.min(count, places.length)) {
    const from = chosen.length === 0 ? [{ x, y }] : chosen.map((place) => place.at);
    const room = (place: Place): number => Math.min(...from.map((p) => distance(p, place.at)));
    chosen.push(places.reduce((a, b) => (room(b) > room(a) + 1e-9 ? b : a)));
  }
  return chosen;
};

const withoutOutline: Warning = {
  code: 'roles-assumed',
  message:
    'The drawing has no outline, so the panel is taken to end where its openings end; marks outside them are not looked at. Name the outline under roles.',
};

const tooFew = (
  { job }: PlanInput,
  { allowed, fromOpenings, fromEdge, use, grid }: PlanChoices,
  count: number,
  landWith: (share: number) => Land,
): InputError => {
  const found = count === 0 ? 'no place for a mark' : 'one place only';
  const where = whereInJob(job, job.plan === undefined ? 'drawing' : 'plan');
  if (!use.includes('land') || (allowed !== undefined && count === 0)) {
    return new InputError({
      found: `${found} among ${[...use, ...(allowed === undefined ? [] : [`the places of ${allowed}`])].join(', ')}`,
      expected: 'at least two places',
      where,
      next: 'Add to plan: use:, as in use: [land, corners, holes, edges].',
    });
  }
  const enough = [0.75, 0.5, 0.25, 0.1].find(
    (share) => freePlaces(landWith(share), grid).length > worthTelling,
  );
  const of = (length: number): string => String(Number(((enough ?? 0) * length).toPrecision(3)));
  return new InputError({
    found: `${found} that is ${fromOpenings} mm from every opening and ${fromEdge} mm from the edge`,
    expected: 'free land for at least two marks',
    where,
    next:
      enough === undefined
        ? 'Use what is there anyway: plan: {use: [corners, holes, edges]}.'
        : `There is some with plan: {from-openings: ${of(fromOpenings)}, from-edge: ${of(fromEdge)}}; or use what is there anyway: plan: {use: [corners, holes, edges]}.`,
  });
};
