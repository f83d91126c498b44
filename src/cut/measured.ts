/** Round edges that were measured: what was found, and not what was drawn, is the edge that exists. */
import type { Shape } from '../drawing/model/drawing.js';
import { changedShape } from '../drawing/model/shape-store.js';
import type { Fit, FittedRim } from '../fit/fit.js';
import { apply } from '../geometry/affine.js';
import type { Path, Segment } from '../geometry/curve.js';
import { distance } from '../geometry/point.js';
import { sizeOfPath } from '../geometry/stored-path.js';
import { type Job, whereInJob } from '../job/job.js';
import { InputError, type Warning } from '../job/messages.js';
import { quoted } from '../job/quoted.js';
import { faceMatrix } from '../marks/frames.js';
import { roundPath } from '../marks/touch-edge.js';

/** Drawn circles that differ by less, mm, are the same one. */
const same = 0.01;
/** A whole circle has no more arcs than this, as anybody draws it. */
const mostArcs = 64;

/**
 * The shapes with every circle that was touched as large as it was found, wherever it is drawn: alone, twice, or as a part
 * of a path. What comes after grows all edges by half a piercing kerf; a measured edge has that in it already, so it is
 * drawn by as much nearer.
 *
 * @param shapes before `face`
 * @returns the same array where nothing was measured
 */
export const asMeasured = (
  shapes: readonly Shape[],
  { rims = [] }: Fit,
  face: Job['face'],
): readonly Shape[] => {
  if (rims.length === 0) return shapes;
  // A mirror image of a mirror image is what there was.
  const back = faceMatrix(face);
  const known = rims.map((rim) => ({ rim, centre: apply(back, rim.centre) }));
  const measured = (path: Path): Path => {
    if (!path.closed || sizeOfPath(path) > mostArcs) return path;
    const round = roundPath(path);
    if (round === undefined) return path;
    const found = known.find(
      ({ rim, centre }) =>
        distance(centre, round.centre) < same && Math.abs(rim.drawnRadius - round.drawnRadius) < same,
    );
    if (found === undefined) return path;
    const radius = pathRadius(found.rim);
    const segments = path.segments.map((s): Segment => (s.kind === 'arc' ? { ...s, radius } : s));
    return { segments, closed: true };
  };
  return shapes.map((shape) => {
    const paths = shape.paths.map(measured);
    return paths.every((path, i) => path === shape.paths[i]) ? shape : changedShape(shape, { paths });
  });
};

/** The radius of the path that the piercing tool's middle would have run along, mm. */
export const pathRadius = ({ radius, outside, setBack }: FittedRim): number => radius - outside * setBack;

/** A rim found farther than this from what the drawing says is more likely a slip than a rim, mm and as a share. */
const plausible = { mm: 1, share: 0.1 };
/** And farther than so many of its sds. */
const surely = 3;

/**
 * Warns of radii that are hard to believe.
 *
 * @throws InputError for a rim that is no larger than nothing, or than half of the kerf that pierced it
 */
export const judgeRims = ({ rims = [] }: Fit, job: Job): Warning[] => {
  const mm = (value: number): string => `${value.toFixed(2)} mm`;
  return rims.flatMap((rim): Warning[] => {
    const { on, radius, sd, stated, expectedRadius } = rim;
    if (!(radius > 0) || !(pathRadius(rim) > 0)) {
      throw new InputError({
        found: `the radius ${mm(radius)} of ${quoted(on)}, ${stated ? 'as stated' : 'from its touches'}`,
        expected:
          rim.setBack > 0 ? `more than half of the piercing kerf, ${mm(rim.setBack)}` : 'more than 0 mm',
        where: whereInJob(job, 'touches'),
        next: `Check the touches on ${quoted(on)}: they may lie on another edge.`,
      });
    }
    const off = Math.abs(radius - expectedRadius);
    if (off <= Math.min(plausible.mm, plausible.share * expectedRadius) || off <= surely * (sd ?? 0))
      return [];
    const known = sd === undefined ? '' : ` (sd ${mm(sd)})`;
    return [
      {
        code: 'rim-differs',
        message: `The rim of ${on} is ${stated ? 'stated' : 'found'} at a radius of ${mm(radius)}${known}, where the drawing${rim.setBack > 0 ? ' and the piercing kerf' : ''} would have ${mm(expectedRadius)}. It is cut and judged from the former; check that the touches lie on this rim.`,
      },
    ];
  });
};
