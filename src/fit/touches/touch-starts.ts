/** Where to begin with touches: from the marks, or from what was said of where on the drawing they were. */
import type { TouchReadings } from '../../marks/touches.js';
import type { FitOptions, Observation } from '../fit.js';
import { linearPart, weightedMean } from '../solve/closed-form.js';
import { fitMarks } from '../solve/mark-fit.js';
import { turnOf } from '../solve/placement.js';
import { obstacle } from '../solve/solvable.js';
import type { ReadingScale } from '../solve/uncertainty.js';
import type { MixedReadings } from './mixed-fit.js';
import type { Start } from './touch-search.js';

/** Marks that leave the touches uncertain by more than this, mm, are not believed about the turn alone. */
const looseBy = 1;
/** Turns tried either way, over four sds. */
const turnsEachWay = 12;
/** Where none is known, mm. Common practice, no source. */
const usualSd = 0.1;

/**
 * Starts from the marks, where they tell shift and turn; undefined where they do not. One, unless the marks lie so close
 * together that a touch far away may be on another place of its edge: then one for each turn they allow.
 */
export const markStarts = (
  observations: readonly Observation[],
  { model }: FitOptions,
  { marks, touches }: MixedReadings,
  { reference }: ReadingScale,
): Start[] | undefined => {
  const simplest = model === 'shift' ? 'shift' : 'rigid';
  if (obstacle(observations, simplest) !== undefined) return undefined;
  const fitted = fitMarks(simplest, marks);
  if (!fitted.ok) return undefined;
  const own = obstacle(observations, model) === undefined ? fitMarks(model, marks) : fitted;
  const { placement, solved } = fitted;
  const turnSd = Math.sqrt(solved.cofactor[2]?.[2] ?? 0) * (reference === undefined ? usualSd : 1);
  const { anchor, linear } = placement;
  const reach = Math.max(...touches.map(({ to }) => Math.hypot(to[0]!.x - anchor.x, to[0]!.y - anchor.y)));
  if (turnSd * reach <= looseBy) return [{ placement: own.ok ? own.placement : placement }];
  const turn = Math.atan2(linear[1], linear[0]);
  return Array.from({ length: 2 * turnsEachWay + 1 }, (_, k) => {
    const by = ((k - turnsEachWay) / turnsEachWay) * 4 * turnSd;
    return { placement: { ...placement, linear: turnOf(turn + by) } };
  });
};

/** A start from where the touches were said to be on the drawing, two of them or more, marks counted in. */
export const statedStart = (
  { marks }: MixedReadings,
  touches: readonly TouchReadings[],
  model: FitOptions['model'],
): Start[] => {
  const pairs = [
    ...marks.map(({ from, to }) => ({ from, to, weight: 1 })),
    ...touches.flatMap(({ start, readings }) =>
      start === undefined ? [] : [{ from: start, to: readings[0]!, weight: 1 }],
    ),
  ];
  if (pairs.length < (model === 'shift' ? 1 : 2)) return [];
  const centre = weightedMean(pairs, 'from');
  const anchor = weightedMean(pairs, 'to');
  const linear = linearPart(
    model === 'shift' ? 'shift' : 'rigid',
    pairs.map(({ from, to, weight }) => ({
      from: { x: from.x - centre.x, y: from.y - centre.y },
      to: { x: to.x - anchor.x, y: to.y - anchor.y },
      weight,
    })),
  );
  if (linear === undefined) return [];
  return [{ placement: { model: 'rigid', centre, anchor, linear } }];
};
