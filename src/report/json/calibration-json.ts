/** A calibration as `--json` prints it; full precision, null where something is absent. */
import type { Calibrated, PartResult } from '../../calibration/calibrate.js';
import type { Estimate } from '../../calibration/estimate.js';
import { isShown } from '../../calibration/parts/habit.js';
import { lengthName } from '../../calibration/parts/network.js';
import type { Reversal } from '../../calibration/parts/pointer.js';
import type { ProfileValue } from '../../calibration/proposal.js';
import type { Spread } from '../../calibration/spread.js';
import type { Warning } from '../../job/messages.js';
import { type Pair, pair } from './fit-json.js';

type Done = Extract<Calibrated, { ok: true }>;

interface EstimateJson {
  value: number;
  sd: number | null;
  limits: Pair | null;
}

export interface CalibrationJson {
  calibration: string;
  /** The file of measurements as the call named it. */
  data: string;
  /** Rows of the form left blank. */
  blank: number;
  /** Depends on the part; see `found` below. */
  found: Record<string, unknown>;
  /** Keys of the profile and their values. */
  proposed: Record<string, ProfileValue>;
  /** True where a profile was named but not written, for the measurements are in doubt. */
  withheld: boolean;
  /** What was written; null where nothing was. */
  profile: { path: string; date: string; new: boolean; replaced: Record<string, ProfileValue> | null } | null;
  warnings: Warning[];
}

export const calibrationJson = ({ data, result, blank, updated, withheld }: Done): CalibrationJson => ({
  calibration: result.part,
  data,
  blank,
  found: found(result),
  proposed: { ...result.found.proposal.set },
  withheld,
  profile:
    updated === undefined
      ? null
      : {
          path: updated.path,
          date: updated.date,
          new: updated.isNew,
          replaced: updated.replaced === undefined ? null : { ...updated.replaced.values },
        },
  warnings: [...result.found.warnings],
});

export const estimate = ({ value, sd, limits }: Estimate): EstimateJson => ({
  value,
  sd: sd ?? null,
  limits: limits === undefined ? null : [...limits],
});

const spread = ({ sd, degrees, low, high, unbiased }: Spread) => ({
  sd,
  degrees,
  limits: [low, high],
  unbiased,
});

const reversal = ({ mean, limits, largest, repeatability }: Reversal) => ({
  mean,
  limits: limits === undefined ? null : [...limits],
  largest,
  repeatability: repeatability ?? null,
});

const found = (result: PartResult): Record<string, unknown> => {
  switch (result.part) {
    case 'pointer': {
      const {
        marks,
        readings,
        x,
        y,
        both,
        axesPValue,
        step,
        isCoarse,
        outliers,
        habits,
        reversal: r,
      } = result.found;
      const limited = (s: Spread) => ({ ...spread(s), ...(isCoarse ? { limits: null } : {}) });
      return {
        marks,
        readings,
        x: limited(x),
        y: limited(y),
        both: limited(both),
        axesPValue,
        displayStep: step ?? null,
        reversal: r === undefined ? null : { x: reversal(r.x), y: reversal(r.y) },
        readers: habits.map((habit) => ({
          between: [...habit.between],
          places: habit.places,
          difference: pair(habit.difference),
          distance: habit.distance,
          limits: [...habit.limits],
          pValue: habit.pValue,
          steadyPValue: habit.steadyPValue,
          shown: isShown(habit, habits.length),
        })),
        outliers: outliers.map(({ mark, axis, direction, deviation, pValue, readings: doubtful }) => ({
          mark,
          axis,
          direction: direction ?? null,
          deviation,
          pValue,
          lines: doubtful.flatMap((d) => d.where.line ?? []),
        })),
      };
    }
    case 'bed': {
      const { scale, skew, lengths, redundancy, sd, crossSd, ruleBound, consistency, rectangles } =
        result.found;
      return {
        scale: { x: estimate(scale.x), y: estimate(scale.y) },
        skew: estimate(skew),
        redundancy,
        sd: { stated: sd.stated ?? null, estimated: sd.estimated ?? null },
        crossSd: crossSd ?? null,
        ruleBound: ruleBound ?? null,
        consistency: consistency ?? null,
        lengths: lengths.map(({ measured, computed, residual, normalized }) => ({
          between: lengthName(measured),
          measured: measured.length,
          computed,
          residual,
          normalized: normalized ?? null,
        })),
        rectangles: rectangles.map(({ names, width, height, rising, falling, skew: byHand }) => ({
          corners: names ?? null,
          width,
          height,
          rising,
          falling,
          skew: byHand,
        })),
      };
    }
    case 'kerf': {
      const { kerf, measurements, cuts, redundancy, consistency, variation, passSd, kerfSd } = result.found;
      return {
        kerf: estimate(kerf),
        kerfSd: kerfSd ?? null,
        cuts,
        passSd: passSd ?? null,
        redundancy,
        variation: variation ?? null,
        consistency: consistency ?? null,
        measurements: measurements.map(({ measured, kerf: own, sd }) => ({
          kind: measured.kind,
          kerf: own,
          sd: sd ?? null,
        })),
      };
    }
    case 'beam': {
      const { x, y, dots, spread: s, againstReading } = result.found;
      return {
        offset: { x: estimate(x), y: estimate(y) },
        spread: s === undefined ? null : spread(s),
        againstReading:
          againstReading === undefined ? null : { ...againstReading, cutSd: againstReading.cutSd ?? null },
        dots: dots.map(({ dot, offset, residual }) => ({
          name: dot.name,
          commanded: pair(dot.commanded),
          offset: pair(offset),
          residual: pair(residual),
        })),
      };
    }
  }
};
