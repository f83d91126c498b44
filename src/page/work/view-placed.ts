/** Where the part lies: on the display, with what each reading is off by, and which reading is in doubt. */
import {
  type Doubt,
  doubtIn,
  doubtWord,
  type Files,
  type Fit,
  fitJob,
  type Job,
  type LoadedJob,
  loadJob,
  type Matrix,
  type Point,
  positionCovariance,
  trueToMachineMatrix,
  trueToPointer,
  type Warning,
} from '../../internal.js';
import {
  applyLinear,
  compose,
  type Ellipse,
  ellipseOf,
  factor95,
  mapped,
  matrixOf,
} from '../drawn/matrix.js';
import { documentOf, readingRows, withPair } from '../kept/job-edit.js';
import type { DoubtView, MarkView, Placed, Settings, Slip, TouchView } from './answers.js';

export const settingsView = (job: Job): Settings => ({
  axes: job.machine.axes,
  axesSaid: job.machine.axesAssumed !== true,
  face: job.face,
  kind: job.cut.kind,
  clearance: job.cut.kind === 'as-drawn' ? (job.check.allowedDeviation ?? 0) : job.cut.clearance,
  kerf: job.cut.kerf,
  pierced: job.pierced.compensated ? 0 : job.pierced.kerf,
  corners: job.cut.corners,
  mitreLimit: job.cut.mitreLimit,
  readingSd: job.fit.readingSd,
  markSd: job.fit.markSd,
  cutSd: job.check.cutSd,
  kerfSd: job.check.kerfSd,
  acceptedRisk: job.check.acceptedRisk,
  machineName: job.machine.name,
  bedSize: job.machine.size,
  hasNc: job.machine.nc !== undefined,
});

const faceOf = ({ face }: Job): Matrix => (face === 'down' ? [-1, 0, 0, 1, 0, 0] : [1, 0, 0, 1, 0, 0]);

/** Design frame to the display, where the pointer looks. */
export const placeOf = (job: Job, fit: Fit): Matrix =>
  compose(compose(displayOf(job), fit.matrix), faceOf(job));

export const displayOf = (job: Job): Matrix => matrixOf(trueToPointer(job.machine));

/** 95 of 100 places of a design point (after face) on the display; `further` is a variance on top, mm². */
export const ellipseAt = (job: Job, fit: Fit, design: Point, further = 0): Ellipse | undefined => {
  const covariance = positionCovariance(fit, design);
  if (covariance === undefined) return undefined;
  const { xx, xy, yy } = covariance;
  return ellipseOf(
    mapped({ xx: xx + further, xy, yy: yy + further }, displayOf(job)),
    factor95(fit.sd.usedDof),
  );
};

export const placedView = (
  loaded: LoadedJob,
  judged: Fit,
  fit: Fit,
  warnings: readonly Warning[],
  compared: DoubtView['compared'],
): Placed => {
  const { job } = loaded;
  const display = displayOf(job);
  const onDisplay = trueToPointer(job.machine);
  const checked = fit.redundancy > 0;
  const marks = fit.marks.map(
    ({ mark, fitted, residual, design }): MarkView => ({
      name: mark,
      at: onDisplay(fitted),
      residual: checked ? applyLinear(display, residual) : { x: 0, y: 0 },
      distance: checked ? Math.hypot(residual.x, residual.y) : undefined,
      ellipse: ellipseAt(job, judged, design),
    }),
  );
  const touches = (fit.touches ?? []).map(
    (touch): TouchView => ({
      on: touch.on,
      at: onDisplay(touch.reading),
      foot: onDisplay(touch.foot),
      residual: touch.residual,
      checked: touch.redundancy > 1e-9,
    }),
  );
  const doubt = doubtIn(warnings);
  const angle = (Math.atan2(fit.matrix[1], fit.matrix[0]) * 180) / Math.PI;
  return {
    place: placeOf(job, fit),
    machine: compose(compose(trueToMachineMatrix(job.machine), fit.matrix), faceOf(job)),
    degrees: angle,
    turn: fit.unplaced ? 'where it is drawn' : `turned by ${angle.toFixed(3)}°`,
    marks,
    touches,
    doubt: doubt === undefined ? undefined : doubtView(doubt, job, compared),
    warnings,
    model: fit.model,
  };
};

const doubtView = (doubt: Doubt, job: Job, compared: DoubtView['compared']): DoubtView => ({
  word: doubtWord(doubt),
  marks: doubt.marks,
  warnings: doubt.warnings,
  remedies: doubt.remedies.map(({ kind, step, set, marks = [] }) => ({
    kind,
    step,
    marks,
    ...(set === undefined ? {} : { set }),
  })),
  slips: slipsIn(doubt, job),
  compared,
});

/** What was probably meant, figure by figure; of a mark that was read several times, in the reading that lies farthest off. */
const slipsIn = ({ warnings }: Pick<Doubt, 'warnings'>, { readings }: Job): Slip[] => {
  const suggested = warnings.find((warning) => warning.suggested !== undefined)?.suggested ?? {};
  return Object.entries(suggested).flatMap(([mark, meant]): Slip[] => {
    const at = readings.find((one) => one.mark === mark)?.at;
    if (at === undefined) return [];
    const off = at.map(({ x, y }) => Math.hypot(x - meant[0], y - meant[1]));
    const count = off.indexOf(Math.max(...off));
    const typed = [at[count]!.x, at[count]!.y];
    return (['x', 'y'] as const).flatMap((axis, k): Slip[] => {
      const decimals = Math.max(2, decimalsOf(typed[k]!), decimalsOf(meant[k]!));
      const [now, then] = [typed[k]!.toFixed(decimals), meant[k]!.toFixed(decimals)];
      return now === then ? [] : [{ mark, count, axis, typed: now, meant: then }];
    });
  });
};

const decimalsOf = (value: number): number => Math.min(4, String(value).split('.')[1]?.length ?? 0);

/** The distances as the readings stand, and with what was probably meant in their place. */
export const comparedWith = (
  source: { readonly path: string; readonly text: string },
  loaded: LoadedJob,
  fit: Fit,
  warnings: readonly Warning[],
  files: Files,
): DoubtView['compared'] => {
  const doubt = doubtIn(warnings);
  const slips = doubt === undefined ? [] : slipsIn(doubt, loaded.job);
  const rows = slips.length === 0 ? undefined : readingRows(source.text);
  if (rows === undefined) return [];
  let { text } = source;
  for (const { mark, count } of slips) {
    const row = rows.find((one) => one.mark === mark && one.count === count);
    if (row === undefined) return [];
    const meant = (axis: 'x' | 'y'): number =>
      Number(slips.find((s) => s.mark === mark && s.axis === axis)?.meant ?? row[axis]);
    text = withPair(text, row.at, { value: meant('x'), decimals: 0 }, { value: meant('y'), decimals: 0 });
  }
  if (documentOf(text).errors.length > 0) return [];
  const then = fitJob(loadJob({ path: source.path, text }, files)).outcome;
  if (!then.ok) return [];
  const size = ({ residual: { x, y } }: Fit['marks'][number]): number => Math.hypot(x, y);
  return fit.marks.map((mark) => ({
    mark: mark.mark,
    typed: size(mark),
    meant: size(then.fit.marks.find((one) => one.mark === mark.mark) ?? mark),
  }));
};
