/**
 * Where the signs of marks stand in the picture of a plan, and their names beside them, clear of
 * each other.
 */
import { apply, type Matrix } from '../../../geometry/affine.js';
import { type Box, boxesMeet, boxOfPoints, distance, type Point } from '../../../geometry/point.js';
import type { Plan, PlannedPlace } from '../../../plan/plan.js';
import { letteringWidth, shortenedTo } from '../lettering.js';
import { sizes } from '../role-style.js';

/** Picture units, y down. */
export interface PlanSign {
  readonly place: PlannedPlace;
  /** False for a mark that is there already and is shown for comparison. */
  readonly isChosen: boolean;
  readonly at: Point;
  /** Its name, shortened in the middle where it is long. */
  readonly text: string;
  /** The middle of its name. */
  readonly label: Point;
  /** Of the letters. */
  readonly size: number;
  /** What sign and name take. */
  readonly boxes: readonly Box[];
}

/** Picture units. */
const longestName = 170;
const chosenSize = 20;
const presentRadius = 6;
const chosenRadius = 11;
/** mm: a mark that is there and one that is planned are the same. */
const samePlace = 0.5;

/** Those for comparison first, so that no planned one is hidden. @param panel design frame, mm */
export const signsOf = (plan: Plan, toPicture: Matrix, panel: Box): PlanSign[] => {
  const { places } = plan.chosen;
  const present = (plan.present?.places ?? []).filter((one) =>
    places.every(({ at }) => distance(at, one.at) >= samePlace),
  );
  const room = boxOfPoints([
    apply(toPicture, { x: panel.minX, y: panel.minY }),
    apply(toPicture, { x: panel.maxX, y: panel.maxY }),
  ]);
  const rings = [
    ...places.map((place) => ({ place, isChosen: true })),
    ...present.map((place) => ({ place, isChosen: false })),
  ].map((one) => {
    const at = apply(toPicture, one.place.at);
    const radius = one.isChosen ? chosenRadius : presentRadius;
    return { ...one, at, radius, ring: around(at, 2 * radius, 2 * radius) };
  });
  const taken = rings.map(({ ring }) => ring);
  const middle = apply(toPicture, middleOf(places.map(({ at }) => at)));
  const signs = rings.map(({ place, isChosen, at, radius, ring }): PlanSign => {
    const size = isChosen && place.kind !== 'drawn' ? chosenSize : sizes.small;
    const text = shortenedTo(place.name, longestName, size, isChosen);
    const width = letteringWidth(text, size, isChosen) + 4;
    const height = size + 2;
    const spots = spotsAround(at, radius + 2, width, height).sort(
      (a, b) => distance(a, middle) - distance(b, middle),
    );
    const costOf = (spot: Point): number => {
      const box = around(spot, width, height);
      const over = taken.filter((other) => other !== ring && boxesMeet(other, box)).length;
      return over + (isWithin(box, room) ? 0 : 0.5);
    };
    const label = spots.reduce((best, spot) => (costOf(spot) < costOf(best) ? spot : best));
    const box = around(label, width, height);
    taken.push(box);
    return { place, isChosen, at, text, label, size, boxes: [ring, box] };
  });
  return signs.sort((a, b) => Number(a.isChosen) - Number(b.isChosen));
};

/** The middles of a name in each of eight places round a ring. */
const spotsAround = ({ x, y }: Point, gap: number, width: number, height: number): Point[] => {
  const [dx, dy] = [gap + width / 2, gap + height / 2];
  const slanted = 0.6 * gap;
  const [sx, sy] = [slanted + width / 2, slanted + height / 2];
  return [
    ...[-1, 1].flatMap((i) => [-1, 1].map((j) => ({ x: x + i * sx, y: y + j * sy }))),
    ...[-1, 1].map((i) => ({ x: x + i * dx, y })),
    ...[-1, 1].map((j) => ({ x, y: y + j * dy })),
  ];
};

const around = ({ x, y }: Point, width: number, height: number): Box => ({
  minX: x - width / 2,
  minY: y - height / 2,
  maxX: x + width / 2,
  maxY: y + height / 2,
});

const isWithin = (inner: Box, outer: Box): boolean =>
  inner.minX >= outer.minX &&
  inner.maxX <= outer.maxX &&
  inner.minY >= outer.minY &&
  inner.maxY <= outer.maxY;

const middleOf = (points: readonly Point[]): Point => ({
  x: points.reduce((sum, p) => sum + p.x, 0) / points.length,
  y: points.reduce((sum, p) => sum + p.y, 0) / points.length,
});
