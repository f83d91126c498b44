/** The error to be expected over a panel, in bands. */
import type { RoleAssignment } from '../../../drawing/roles/roles.js';
import { positionCovariance } from '../../../fit/solve/position.js';
import { ringsAbove } from '../../../geometry/contours.js';
import type { Box, Point } from '../../../geometry/point.js';
import { distance, subtract, unit } from '../../../geometry/point.js';
import { freeLand, type Land } from '../../../plan/places/land.js';
import type { Plan } from '../../../plan/plan.js';
import { fixed } from '../../text/layout.js';
import { letteringWidth } from '../lettering.js';
import { roundStep } from '../svg-text.js';

export interface ErrorBand {
  /** mm; the region where the error is larger. */
  readonly level: number;
  /** Closed rings in the design frame, by the even-odd rule. */
  readonly rings: readonly (readonly Point[])[];
  readonly colour: string;
  /** Where its figure stands, along the contour; degrees counter-clockwise in the design frame. */
  readonly label?: { readonly at: Point; readonly degrees: number };
}

export interface ErrorBands {
  /** By rising level. */
  readonly regions: readonly ErrorBand[];
  /** Of the lowest band, then one for each region. */
  readonly colours: readonly string[];
  /** Decimals that tell one level from the next. */
  readonly decimals: number;
  /** Smallest and largest error on the panel's box, mm. */
  readonly least: number;
  readonly most: number;
}

/**
 * The colour of errors, light to dark in even steps of lightness, so that it reads in grey; the
 * darkest still lets lines of ink stand out by 3 to 1.
 */
export const bandColours = [
  '#fdf6f0',
  '#fae6d8',
  '#f5d5c0',
  '#f0c4a8',
  '#eab28f',
  '#e4a077',
  '#dd8d5f',
  '#d57a48',
  '#cb6733',
];
/** Samples along the longer side. */
const samples = 140;

/**
 * sd of the placement in its worst direction, with what this cut and half the kerf add, mm: the
 * predicted error of an edge that lies there and across. Undefined where no uncertainty can be
 * claimed.
 */
export const errorAt = ({ chosen, uncertainty }: Plan, at: Point): number | undefined => {
  const covariance = chosen.fit === undefined ? undefined : positionCovariance(chosen.fit, at);
  if (covariance === undefined) return undefined;
  const { xx, xy, yy } = covariance;
  const largest = (xx + yy) / 2 + Math.hypot((xx - yy) / 2, xy);
  return Math.sqrt(largest + uncertainty.cutSd ** 2 + (uncertainty.kerfSd / 2) ** 2);
};

/** What the figures along the contours keep to, mm, design frame. */
export interface Lettering {
  /** Size of the letters. */
  readonly letter: number;
  /** Boxes of other signs and names. */
  readonly taken: readonly Box[];
}

export const bandsOf = (
  plan: Plan,
  box: Box,
  roles: RoleAssignment,
  lettering?: Lettering,
): ErrorBands | undefined => {
  if (errorAt(plan, { x: box.minX, y: box.minY }) === undefined) return undefined;
  const step = Math.max(box.maxX - box.minX, box.maxY - box.minY) / samples;
  // Two samples beyond the panel, where the rings that close there are out of sight.
  const beyond = 2 * step;
  const origin = { x: box.minX - beyond, y: box.minY - beyond };
  const columns = Math.ceil((box.maxX - origin.x + beyond) / step) + 1;
  const rows = Math.ceil((box.maxY - origin.y + beyond) / step) + 1;
  const values = new Float64Array(columns * rows);
  let least = Number.POSITIVE_INFINITY;
  let most = 0;
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      const at = { x: origin.x + i * step, y: origin.y + j * step };
      const value = errorAt(plan, at)!;
      values[j * columns + i] = value;
      if (at.x < box.minX || at.x > box.maxX || at.y < box.minY || at.y > box.maxY) continue;
      least = Math.min(least, value);
      most = Math.max(most, value);
    }
  }
  const levels = levelsBetween(least, most);
  const used = bandColours.filter((_, i) => i <= levels.length);
  const land = freeLand({ openings: roles.openings, outline: roles.outline, fromOpenings: 0, fromEdge: 0 });
  const taken: Point[] = plan.chosen.places.map((place) => place.at);
  const decimals =
    levels.length < 2 ? 3 : Math.max(2, -Math.floor(Math.log10(levels[1]! - levels[0]! + 1e-12)));
  const letter = lettering?.letter ?? step;
  const size = { width: letteringWidth(fixed(levels[0], decimals), letter) + letter, height: 1.2 * letter };
  const around = lettering?.taken ?? [];
  const regions = levels.map((level, n): ErrorBand => {
    const rings = ringsAbove({ columns, rows, values }, level).map((ring) =>
      ring.map(({ x, y }) => ({ x: origin.x + x * step, y: origin.y + y * step })),
    );
    const label = labelFor(rings, { taken, boxes: around, land, enough: 14 * step, size });
    if (label !== undefined) taken.push(label.at);
    return {
      level,
      rings,
      colour: bandColours[Math.min(n + 1, bandColours.length - 1)]!,
      ...(label ? { label } : {}),
    };
  });
  return { regions, colours: used, decimals, least, most };
};

/** Round figures, six to eight of them where the error varies at all. */
const levelsBetween = (least: number, most: number): number[] => {
  if (!(most - least > 1e-6)) return [];
  const fine = (most - least) / (bandColours.length - 1);
  let step = roundStep(fine);
  while ((most - least) / step > bandColours.length - 1) step = nextStep(step);
  const first = Math.floor(least / step + 1e-9) + 1;
  const count = Math.ceil(most / step - 1e-9) - first;
  return Array.from({ length: Math.max(0, count) }, (_, i) => Number(((first + i) * step).toPrecision(12)));
};

/** 1, 2, 5, 10 ... */
const nextStep = (step: number): number => roundStep(step * 2.5);

interface Around {
  /** Middles of figures and marks. */
  readonly taken: readonly Point[];
  readonly boxes: readonly Box[];
  readonly land: Land;
  /** mm; more room is no better. */
  readonly enough: number;
  /** Of a figure, mm. */
  readonly size: { readonly width: number; readonly height: number };
}

/** Points all over a figure that stands along a contour. */
const samplesOf = (at: Point, along: Point, { width, height }: Around['size']): Point[] =>
  [-0.5, -0.25, 0, 0.25, 0.5].flatMap((i) =>
    [-0.5, 0, 0.5].map((j) => ({
      x: at.x + i * width * along.x - j * height * along.y,
      y: at.y + i * width * along.y + j * height * along.x,
    })),
  );

const isIn = ({ x, y }: Point, { minX, minY, maxX, maxY }: Box): boolean =>
  x > minX && x < maxX && y > minY && y < maxY;

/**
 * The place of a contour on the panel where its figure covers nothing, that is farthest from
 * openings, the panel's edge and what is lettered already.
 */
const labelFor = (
  rings: readonly (readonly Point[])[],
  { taken, boxes, land, enough, size }: Around,
): ErrorBand['label'] => {
  let best: { at: Point; degrees: number } | undefined;
  let bestRoom = 0;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const at = ring[i]!;
      if (!land.isFree(at)) continue;
      const fromOpening = Math.min(land.nearestOpening(at)?.distance ?? enough, enough);
      const fromEdge = Math.min(land.fromOutline(at) ?? enough, enough);
      const fromOthers = Math.min(enough, ...taken.map((p) => 0.4 * distance(p, at)));
      const room = Math.min(fromOpening, fromEdge) + fromOthers;
      if (room <= bestRoom) continue;
      const along = unit(subtract(ring[(i + 1) % ring.length]!, ring[(i + ring.length - 1) % ring.length]!));
      const isClear = samplesOf(at, along, size).every(
        (p) => land.isFree(p) && boxes.every((box) => !isIn(p, box)),
      );
      if (!isClear || taken.some((p) => distance(p, at) < 0.5 * size.width + size.height)) continue;
      const a = ring[(i + ring.length - 1) % ring.length]!;
      const b = ring[(i + 1) % ring.length]!;
      bestRoom = room;
      best = { at, degrees: (Math.atan2(b.y - a.y, b.x - a.x) * 180) / Math.PI };
    }
  }
  return best;
};
