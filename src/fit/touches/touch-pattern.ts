/** Whether touches rule out what the marks' pattern alone leaves open: the part turned, or on its other face. */
import { apply, mirrorX } from '../../geometry/affine.js';
import { transformSpan } from '../../geometry/spans/span.js';
import { SpanIndex } from '../../geometry/spans/span-index.js';
import type { TouchEdge } from '../../marks/touch-edge.js';
import type { TouchReadings } from '../../marks/touches.js';
import type { Ambiguity } from '../doubts/ambiguity.js';
import type { Fit, FitOptions, Observation } from '../fit.js';
import { fitMarks } from '../solve/mark-fit.js';
import { meanReading, readingScale, touchRepeats } from '../solve/uncertainty.js';
import { fitMixed, type MixedReadings } from './mixed-fit.js';
import { isLikely, spreadOf } from './touch-choice.js';

/** The edge of a part that lies on its other face. */
export const mirroredEdge = (edge: TouchEdge): TouchEdge => {
  const { rim } = edge;
  return {
    ...edge,
    index: new SpanIndex(edge.index.spans.map((s) => transformSpan(mirrorX, s))),
    material: edge.material.map((side) => -side),
    ...(rim === undefined ? {} : { rim: { ...rim, centre: apply(mirrorX, rim.centre) } }),
  };
};

/** `edges` mirrored, touches on the same edge still sharing it. */
export const mirroredTouches = <T extends { readonly edge: TouchEdge }>(touches: readonly T[]): T[] => {
  const known = new Map<TouchEdge, TouchEdge>();
  return touches.map((touch) => {
    const edge = known.get(touch.edge) ?? mirroredEdge(touch.edge);
    known.set(touch.edge, edge);
    return { ...touch, edge };
  });
};

/** Tells of a way in which the marks fit onto themselves whether the touches fit it as well. */
export const fitsTouches = (
  fit: Fit,
  observations: readonly Observation[],
  touches: readonly TouchReadings[],
  options: FitOptions,
): ((way: Ambiguity) => boolean) => {
  const scale = readingScale(observations, options, touchRepeats(touches));
  const pairs = touches.map(({ edge, readings }, i) => ({ edge, to: readings, sd: scale.touchSds[i]! }));
  let squares = 0;
  for (const [i, { residual }] of fit.marks.entries())
    squares += (residual.x / scale.sds[i]!.x) ** 2 + (residual.y / scale.sds[i]!.y) ** 2;
  for (const [i, { residual }] of fit.touches!.entries()) squares += (residual / scale.touchSds[i]!) ** 2;
  const rows = 2 * observations.length + touches.length;
  const spread = spreadOf(options, scale, { rows, redundancy: fit.redundancy });
  return ({ kind, image }) => {
    if (kind === 'equal-spacing') return true;
    // Where a reading is said to be of mark k, the pointer stood at the mark that lands on k.
    const design = observations.map((_, k) => {
      const at = observations[image.indexOf(k)]?.design ?? observations[k]!.design;
      return kind === 'mirror' ? apply(mirrorX, at) : at;
    });
    const readings: MixedReadings = {
      marks: observations.map((o, k) => ({
        from: design[k]!,
        to: meanReading(o.readings),
        sd: scale.sds[k]!,
      })),
      touches: kind === 'mirror' ? mirroredTouches(pairs) : pairs,
    };
    const start = fitMarks('rigid', readings.marks);
    const other = start.ok ? fitMixed(options.model, readings, start.placement) : undefined;
    return other?.ok === true && isLikely(other.solved.weightedSquares, squares, spread);
  };
};
