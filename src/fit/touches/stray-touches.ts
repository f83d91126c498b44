/** Touches that cannot have been on the edge they are said to be on. */
import type { FitOptions } from '../fit.js';
import type { Placement } from '../solve/placement.js';
import type { ReadingScale } from '../solve/uncertainty.js';
import { type MixedFit, type MixedReadings, unknownRims } from './mixed-fit.js';
import { mirroredTouches } from './touch-pattern.js';
import { misclosureOf } from './touch-rows.js';
import { searchStarts } from './touch-search.js';

type Found = Extract<MixedFit, { ok: true }>;

/** A pointer on an edge never stands farther from it, mm. Common practice, no source. */
const farOff = 5;

export interface Stray {
  readonly touch: number;
  /** mm. */
  readonly away: number;
}

/** Touches too far from their edge to have been on it, the farthest first. */
export const strayTouches = (
  { touches }: MixedReadings,
  placement: Placement,
  { reference }: ReadingScale,
  found?: Found,
): Stray[] => {
  const most = Math.max(farOff, 8 * (reference?.sd ?? 0));
  const rims = unknownRims(touches);
  return touches
    .map(({ edge, to }, touch) => {
      const at = misclosureOf(placement, edge, to[0]!, 0, found?.radii[rims.indexOf(edge)]).at;
      const { rim } = edge;
      const unknownRadius = rim !== undefined && rim.radius === undefined;
      if (unknownRadius && found === undefined) return { touch, away: 0 };
      const away =
        rim === undefined
          ? edge.index.distance(at.x, at.y)
          : Math.abs(
              Math.hypot(at.x - rim.centre.x, at.y - rim.centre.y) -
                (rim.radius ?? found!.radii[rims.indexOf(edge)]!),
            );
      return { touch, away };
    })
    .filter(({ away }) => away > most)
    .sort((a, b) => b.away - a.away);
};

/** The one touch without which all the others find their edges; undefined where there is no such one. */
export const strayOne = (
  readings: MixedReadings,
  stray: readonly Stray[],
  model: FitOptions['model'],
  scale: ReadingScale,
): Stray[] | undefined => {
  if (readings.touches.length < 5) return undefined;
  const order = [...readings.touches.keys()].sort(
    (a, b) => stray.findIndex((s) => s.touch === b) - stray.findIndex((s) => s.touch === a),
  );
  for (const left of order) {
    const others = { ...readings, touches: readings.touches.filter((_, i) => i !== left) };
    const [start] = searchStarts(others, model !== 'shift');
    if (start === undefined || strayTouches(others, start.placement, scale).length > 0) continue;
    const found = strayTouches(readings, start.placement, scale);
    if (found.length === 1 && found[0]!.touch === left) return found;
  }
  return undefined;
};

/** True where the part on its other face brings every touch near its edge; with marks the slips tell. */
export const fitsFaceDown = (
  readings: MixedReadings,
  model: FitOptions['model'],
  scale: ReadingScale,
): boolean => {
  if (readings.marks.length > 0) return false;
  const mirrored = { ...readings, touches: mirroredTouches(readings.touches) };
  const [start] = searchStarts(mirrored, model !== 'shift');
  return start !== undefined && strayTouches(mirrored, start.placement, scale).length === 0;
};
