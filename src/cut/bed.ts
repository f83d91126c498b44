/** Whether the machine can reach what is to be cut. */
import { type Box, emptyBox, joinBoxes } from '../geometry/point.js';
import type { Machine } from '../job/job.js';
import { InputError, type Warning, type Where } from '../job/messages.js';

/** A path as far as this matters: its box in display coordinates, and the openings it belongs to. */
export interface Reach {
  readonly box: Box;
  readonly openings: readonly string[];
}

/** Rounding, mm: a path along the very edge of the bed is on it. */
const slack = 1e-6;

/**
 * Holds the paths against the bed. Where its size is known, a path beyond it is refused; otherwise coordinates below
 * zero are warned of, for no display starts there.
 *
 * @param cause what is to be done about readings that are in doubt: the place itself is then no mistake of the operator
 * @throws InputError naming the path that reaches farthest out
 */
export const checkBed = (
  paths: readonly Reach[],
  machine: Pick<Machine, 'size'>,
  where: Where,
  cause?: string,
): Warning[] => {
  const [width, height] = machine.size ?? [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const beyond = ({ minX, minY, maxX, maxY }: Box): number =>
    Math.max(-minX, -minY, maxX - width, maxY - height);
  const out = paths.filter((path) => beyond(path.box) > slack);
  if (out.length === 0) return [];
  const farthest = out.reduce((a, b) => (beyond(b.box) > beyond(a.box) ? b : a));
  const share = `${out.length} of ${paths.length} ${paths.length === 1 ? 'path' : 'paths'}`;
  const mm = (value: number): string => String(Math.round(value * 100) / 100);
  const far = `${farthest.openings.join(' + ')} by ${mm(beyond(farthest.box))} mm`;
  if (machine.size) {
    const all = paths.reduce((box, path) => joinBoxes(box, path.box), emptyBox);
    throw new InputError({
      found: `${share} off the bed, ${far}; together they take x ${mm(all.minX)} to ${mm(all.maxX)}, y ${mm(all.minY)} to ${mm(all.maxY)}`,
      expected: `paths on the bed, x 0 to ${width}, y 0 to ${height} mm`,
      where,
      next:
        cause === undefined
          ? 'Move the part on the bed and read its marks again, or correct "size" of the machine.'
          : `${cause.replace(/^./, (c) => c.toUpperCase())}; the readings are in doubt, and with them where the part lies.`,
    });
  }
  return [
    {
      code: 'outside-bed',
      message: `${share} at negative coordinates, ${far}. Few machines reach there; give the bed's "size" to have this refused.`,
    },
  ];
};
